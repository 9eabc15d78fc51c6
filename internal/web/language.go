package web

import (
	"encoding/json"
	"fmt"
	"html/template"
	"strings"
	"sync"
	parsing "text/template/parse"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/templates"
	"undertray.example/undertray/internal/say/told"
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
		"stepshort":    one(stepShort),
		"steprest":     one(stepRest),
		"words":        sync.OnceValue(func() map[string]string { return inScripts(l) }),
		"json": func(v any) (template.HTML, error) { // it holds no <, > or &: encoding/json writes those as \u003c
			out, err := json.Marshal(l.In(v))
			return template.HTML(out), err
		},
		"listing": func(words any) string { return told.Listing(told.Names(all(words))).In(l) },
		"join":    func(words any, by string) string { return strings.Join(all(words), by) },
	}
}

// scriptTexts are what scripts say, in English: the texts that they give to inWords.
var scriptTexts = sync.OnceValue(func() (out []string) {
	files, _ := staticFiles.ReadDir("static") // it is within the program
	for _, f := range files {
		src, _ := staticFiles.ReadFile("static/" + f.Name())
		out = append(out, templates.InScript(string(src))...)
	}
	return out
})

// inScripts is what scripts say in a language, by their English; nil for English.
func inScripts(l *message.Language) map[string]string {
	if l == nil {
		return nil
	}
	out := map[string]string{}
	for _, text := range scriptTexts() {
		out[text] = message.Text(text).In(l)
	}
	return out
}
