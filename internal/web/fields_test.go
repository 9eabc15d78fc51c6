package web

import (
	"fmt"
	"html/template"
	"reflect"
	tmpl "text/template/parse"

	"golang.org/x/net/html"
)

// checkFields compares every field a template names at its top level with the
// page's type: a misspelt one in a branch that no test takes would otherwise
// wait for an owner to find it.
func checkFields(t *template.Template, page any) error {
	main := t.Lookup("main")
	if main == nil {
		return fmt.Errorf("it has no main part")
	}
	return walkNodes(main.Tree.Root, reflect.TypeOf(page), true)
}

// walkNodes looks at fields where the dot is known to be the page: outside
// range and with, and at $ everywhere.
func walkNodes(n tmpl.Node, page reflect.Type, dot bool) error {
	switch n := n.(type) {
	case *tmpl.ListNode:
		if n == nil {
			return nil
		}
		for _, c := range n.Nodes {
			if err := walkNodes(c, page, dot); err != nil {
				return err
			}
		}
	case *tmpl.ActionNode:
		return walkPipe(n.Pipe, page, dot)
	case *tmpl.TemplateNode:
		return walkPipe(n.Pipe, page, dot)
	case *tmpl.IfNode:
		return walkBranch(&n.BranchNode, page, dot, dot)
	case *tmpl.RangeNode:
		return walkBranch(&n.BranchNode, page, dot, false)
	case *tmpl.WithNode:
		return walkBranch(&n.BranchNode, page, dot, false)
	}
	return nil
}

func walkBranch(b *tmpl.BranchNode, page reflect.Type, dot, inside bool) error {
	if err := walkPipe(b.Pipe, page, dot); err != nil {
		return err
	}
	if err := walkNodes(b.List, page, inside); err != nil {
		return err
	}
	return walkNodes(b.ElseList, page, dot)
}

func walkPipe(p *tmpl.PipeNode, page reflect.Type, dot bool) error {
	if p == nil {
		return nil
	}
	for _, c := range p.Cmds {
		for _, a := range c.Args {
			var path []string
			switch a := a.(type) {
			case *tmpl.FieldNode:
				if dot {
					path = a.Ident
				}
			case *tmpl.VariableNode:
				if a.Ident[0] == "$" {
					path = a.Ident[1:]
				}
			case *tmpl.PipeNode:
				if err := walkPipe(a, page, dot); err != nil {
					return err
				}
			}
			if err := resolve(page, path); err != nil {
				return err
			}
		}
	}
	return nil
}

func resolve(t reflect.Type, path []string) error {
	for _, name := range path {
		if _, ok := t.MethodByName(name); ok {
			return nil
		}
		for t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct {
			return nil
		}
		f, ok := t.FieldByName(name)
		if !ok {
			return fmt.Errorf("%s has no field %s", t, name)
		}
		t = f.Type
	}
	return nil
}

func within(n *html.Node, tag string) bool {
	for p := range n.Ancestors() {
		if p.Data == tag {
			return true
		}
	}
	return false
}
