package message_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/message/languages"
)

type verdict int

func (verdict) String() string        { return "put right" }
func (verdict) Message() message.Text { return "put right" }

// In English a text is what fmt.Sprintf makes of it, wherever it stands.
func TestTextsInEnglish(t *testing.T) {
	inner := message.Of("%s on %s", "Cracks", "2 May")
	for want, got := range map[string]message.Text{
		"":                        "",
		"not known":               "not known",
		"Cracks on 2 May":         inner,
		"Cracks on 2 May: 7 of 9": message.Of("%s: %d of %.0f", inner, 7, 9.0),
		"100 % of put right":      message.Of("%d %% of %s", 100, verdict(0)),
		"Not yet due.":            message.Text("not yet due").Sentence(),
		"oil":                     message.Text("Oil").LowerFirst(),
		"EGR valve":               message.Name("EGR valve").LowerFirst(),
		"one belt of 3":           message.Counted(1, "one belt of %d", "belts of %d", 3),
		"2 belts of 3":            message.Counted(2, "one belt of %[2]d", "%d belts of %d", 2, 3),
		"a, b":                    message.Name("a") + ", " + message.Name("b"),
	} {
		if got.String() != want || fmt.Sprint(got) != want {
			t.Errorf("%q in place of %q", got, want)
		}
		if out, err := json.Marshal(got); err != nil || string(out) != `"`+want+`"` {
			t.Errorf("JSON %s, %v", out, err)
		}
	}
	if got := message.Of("%s", "a\x01b\x02c\x03"); got.String() != "abc" {
		t.Errorf("%q: what is typed is no mark", got)
	}
}

// The catalogue is one as gettext has it; the plural forms are Polish (GNU gettext manual, 11.2.6, "Plural forms").
const polish = `msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\n"

msgid "%s on %s"
msgstr "%[2]s: %[1]s"

msgid "%d part"
msgid_plural "%d parts"
msgstr[0] "%d część"
msgstr[1] "%d części"
msgstr[2] "%d części (wiele)"

msgid "Coolant hose"
msgstr "Wąż chłodziwa"
`

func TestAnotherLanguage(t *testing.T) {
	pl := languages.Read("pl", []byte(polish))
	all := languages.With(nil, pl)
	for asked, want := range map[string]string{"pl-PL,pl;q=0.9,en;q=0.8": "pl", "de": "en-GB",
		"en-US,pl;q=0.5": "en-GB", "": "en-GB", "nonsense;;": "en-GB", "qps": "qps", "en,qps;q=0.9": "en-GB"} {
		if got := all.Chosen(asked).Code(); got != want {
			t.Errorf("%q: %s, want %s", asked, got, want)
		}
	}
	for env, want := range map[string]string{"LANG=pl_PL.UTF-8": "pl", "LANG=pl_PL.UTF-8 LC_MESSAGES=C": "en-GB",
		"LANG=de_DE@euro LC_ALL=pl": "pl", "LC_ALL=de LC_MESSAGES=pl": "en-GB", "LC_MESSAGES=pl LANG=C": "pl",
		"LANG=POSIX": "en-GB", "LANG=": "en-GB", "LANG=C.UTF-8": "en-GB", "LANG=qps": "qps", "LANG=_.@": "en-GB"} {
		of := all.Of(func(name string) string {
			_, set, _ := strings.Cut(" "+env, " "+name+"=")
			set, _, _ = strings.Cut(set, " ")
			return set
		})
		if of.Code() != want {
			t.Errorf("%s: %s, want %s", env, of.Code(), want)
		}
	}
	for want, got := range map[string]any{
		"2 May: wąż chłodziwa": message.Of("%s on %s", "coolant hose", "2 May"),
		"1 część":              message.Counted(1, "%d part", "%d parts", 1),
		"22 części":            message.Counted(22, "%d part", "%d parts", 22),
		"12 części (wiele)":    message.Counted(12, "%d part", "%d parts", 12),
		"Wąż chłodziwa":        "Coolant hose",
		"left in English":      message.Text("left in English"),
	} {
		if got := pl.Told(got); got != want {
			t.Errorf("%q in place of %q", got, want)
		}
	}
}

// What a language gives away says the same elsewhere, whatever the number, and its JSON is told in it.
func TestSomeOfALanguage(t *testing.T) {
	pl := languages.Read("pl", []byte(polish))
	src, err := json.Marshal(pl.Some([]string{"%s on %s", "%d part\x04%d parts", "%d hose\x04%d hoses"}))
	some := message.Some{}
	if err != nil || json.Unmarshal(src, &some) != nil {
		t.Fatal(err, string(src))
	}
	there := &message.Language{Words: some}
	for n := range 1234 {
		all := []message.Text{message.Of("%s on %s", "a", "b"), message.Counted(n, "%d part", "%d parts", n),
			message.Counted(n, "%d hose", "%d hoses", n), "not given"}
		told, err := json.Marshal(there.In(map[string]any{"all": &all}))
		want, _ := json.Marshal(map[string]any{"all": []string{all[0].In(pl), all[1].In(pl), all[2].In(pl),
			all[3].In(pl)}})
		if err != nil || string(told) != string(want) {
			t.Fatalf("%s, %v, want %s", told, err, want)
		}
	}
}

func TestThePseudoLanguage(t *testing.T) {
	l := languages.With(func() map[string]bool { return map[string]bool{"Coolant hose": true} }).Pseudo
	got := fmt.Sprint(l.Told(message.Of("%s on %d days, %s%s", "Coolant hose", 3, message.Key("Coolant hose"),
		"Heron")))
	told, named := strings.CutSuffix(got, "Coolant hoseHeron"+languages.Closes)
	if !strings.HasPrefix(got, languages.Opens+languages.Opens) || !strings.Contains(got, "3") || !named ||
		strings.ContainsAny(told, "aeiou") {
		t.Errorf("%q", got)
	}
	for _, s := range []string{"a", "No.", "Change it before the next drive", "Two parts to change at the next visit"} {
		in := fmt.Sprint(l.Told(message.Text(s)))
		n, of := utf8.RuneCountInString(in)-2, utf8.RuneCountInString(s)
		if float64(n) < languages.Longer*float64(of)-2 {
			t.Errorf("%q has %d letters, %q %d", in, n, s, of)
		}
	}
	if got := l.Told("Heron"); got != "Heron" {
		t.Errorf("a name became %q", got)
	}
	if got := l.Markup("Buy by {by}: <a>{buy}</a>."); !strings.Contains(got, "{by}: <a>{buy}</a>.") {
		t.Errorf("%q", got)
	}
}
