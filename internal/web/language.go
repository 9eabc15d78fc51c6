package web

import (
	"fmt"
	"html/template"
	"strings"
	"sync"
	parsing "text/template/parse"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/templates"
	"undertray.example/undertray/internal/say"
)

// template is the page's in a language, set in it when it is first asked for.
func (p *pageOf) template(l *message.Language) (*template.Template, error) {
	made, ok := p.in.Load(l)
	if !ok {
		made, _ = p.in.LoadOrStore(l, sync.OnceValues(func() (*template.Template, error) {
			t, err := p.parse()
			if err == nil {
				t.Funcs(wordFuncs(l))
				templates.Rewrite(trees(t), templates.Setting{Message: l.Markup})
			}
			return t, err
		}))
	}
	return made.(func() (*template.Template, error))()
}

func trees(of *template.Template) map[string]*parsing.Tree {
	out := map[string]*parsing.Tree{}
	for _, t := range of.Templates() {
		if t.Tree != nil {
			out[t.Name()] = t.Tree
		}
	}
	return out
}

// wordFuncs are the functions of templates that make words, in a language.
func wordFuncs(l *message.Language) template.FuncMap {
	all := func(words any) (out []string) {
		switch words := words.(type) {
		case []string:
			for _, w := range words {
				out = append(out, fmt.Sprint(l.Told(w)))
			}
		case []message.Text:
			for _, w := range words {
				out = append(out, w.In(l))
			}
		}
		return out
	}
	one := func(make func(string) string) any {
		return func(v any) string { return make(fmt.Sprint(l.Told(v))) }
	}
	return template.FuncMap{
		templates.Told: l.Told,
		"lang":         l.Code,
		"sentence":     one(sentence),
		"capital":      one(message.Capital),
		"listing":      func(words any) string { return say.Listing(all(words)) },
		"join":         func(words any, by string) string { return strings.Join(all(words), by) },
	}
}
