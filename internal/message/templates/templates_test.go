package templates_test

import (
	"html/template"
	"slices"
	"strings"
	"testing"
	"text/template/parse"

	"undertray.example/undertray/internal/message/templates"
)

type part struct {
	Name, Cost string
	Late       bool
	Of         []string
}

// set shows a template with messages replaced, and what messages it has.
func set(t *testing.T, source string, to map[string]string, v any) (shown string, keys []string) {
	t.Helper()
	tell := func(v any) any {
		if v == "oil" {
			return "Öl"
		}
		return v
	}
	made, err := template.New("page").Funcs(template.FuncMap{templates.Told: tell}).Parse(source)
	if err != nil {
		t.Fatal(err)
	}
	templates.Rewrite(map[string]*parse.Tree{"page": made.Tree}, templates.Setting{Message: func(key string) string {
		keys = append(keys, key)
		return to[key]
	}})
	var b strings.Builder
	if err := made.Execute(&b, v); err != nil {
		t.Fatal(err)
	}
	slices.Sort(keys)
	return b.String(), slices.Compact(keys)
}

func TestSentences(t *testing.T) {
	one := part{Name: "oil", Cost: "4 EUR", Late: true, Of: []string{"a", "b"}}
	for _, c := range []struct {
		says, source, shown string
		keys                []string
		to                  map[string]string
	}{
		{"places change their order", `<p>Buy <a href="/{{.Name}}">{{.Name}}</a> for {{.Cost}}.</p>`,
			`<p>Für 4 EUR <a href="/oil">Öl</a>!</p>`, []string{"Buy <a>{name}</a> for {cost}."},
			map[string]string{"Buy <a>{name}</a> for {cost}.": "Für {cost} <a>{name}</a>!"}},
		{"a place that is lost leaves it in English", `<p>Buy {{.Name}}.</p>`, `<p>Buy Öl.</p>`,
			[]string{"Buy {name}."}, map[string]string{"Buy {name}.": "Kauf."}},
		{"each way of a branch is a sentence, what it is about included",
			`<td>{{.Name}}{{with .Cost}}, about {{.}}{{end}}{{if .Late}}, late{{end}}</td>`, `<td>spät 4 EUR Öl</td>`,
			[]string{"{name}, about {cost}", "{name}, about {cost}, late", "{name}, late"},
			map[string]string{"{name}, about {cost}, late": "spät {cost} {name}"}},
		{"sentences stand alone", `<p>{{if .Late}}It is late. {{end}}Change <b>{{.Name}}</b>. Then drive.</p>`,
			`<p>Es ist spät. Wechseln: <b>Öl</b>. Then drive.</p>`,
			[]string{"Change <b>{name}</b>.", "It is late.", "Then drive."},
			map[string]string{"It is late.": "Es ist spät.", "Change <b>{name}</b>.": "Wechseln: <b>{name}</b>."}},
		{"attributes are read too", `<input value="Buy" title="Buy {{.Name}}"{{if .Late}} placeholder="late"{{end}}>`,
			`<input value="Buy" title="Kauf Öl" placeholder="spät">`, []string{"Buy {name}", "late"},
			map[string]string{"Buy {name}": "Kauf {name}", "late": "spät"}},
		{"what is sent stays English", `<select><option>{{.Name}}</option><option value="x">one</option></select>`,
			`<select><option value="oil">Öl</option><option value="x">eins</option></select>`, []string{"one"},
			map[string]string{"one": "eins"}},
		{"links beside each other are messages of their own",
			`<p><a href="/">Back</a> · {{if .Late}}<a href="/l">Late</a>{{end}}</p>`,
			`<p><a href="/">Zurück</a> · <a href="/l">Spät</a></p>`, []string{"Back", "Late"},
			map[string]string{"Back": "Zurück", "Late": "Spät"}},
		{"a list is a place", `<p>For {{range $i, $o := .Of}}{{if $i}}; {{end}}<b>{{$o}}</b>{{end}} and more</p>`,
			`<p>und mehr für <b>a</b>; <b>b</b></p>`, []string{"For {list} and more"},
			map[string]string{"For {list} and more": "und mehr für {list}"}},
		{"scripts and code are no words", `<script>say("Buy")</script><p>Type <code>buy it</code></p>`,
			`<script>say("Buy")</script><p>Tippe <code>buy it</code></p>`, []string{"Type <code/>"},
			map[string]string{"Type <code/>": "Tippe <code/>"}},
	} {
		shown, keys := set(t, c.source, c.to, one)
		if shown != c.shown || !slices.Equal(keys, c.keys) {
			t.Errorf("%s: %s %q, want %s %q", c.says, shown, keys, c.shown, c.keys)
		}
		if same, _ := set(t, strings.ReplaceAll(c.source, "<option>{{", `<option value="oil">{{`), nil, one); same == "" {
			t.Errorf("%s: nothing is shown", c.says)
		}
	}
}

// With more ways than eight a sentence is in pieces, and is named.
func TestPieces(t *testing.T) {
	same := template.FuncMap{templates.Told: func(v any) any { return v }}
	made := template.Must(template.New("page").Funcs(same).Parse(
		`<p>It is{{if .A}} a{{end}}{{if .B}} b{{end}}{{if .C}} c{{end}}{{if .D}} d{{end}}.</p>`))
	var named []string
	templates.Rewrite(map[string]*parse.Tree{"page": made.Tree}, templates.Setting{
		Message: func(string) string { return "" },
		Pieces:  func(_, text string) { named = append(named, text) }})
	if len(named) != 1 {
		t.Errorf("%q", named)
	}
}
