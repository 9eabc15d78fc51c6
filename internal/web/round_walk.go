package web

import (
	"cmp"
	"encoding/json"
	"html/template"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/visit"
)

// answerTable tells a device, in JSON, what every answer of a form means by itself,
// as the judge says it: the device looks it up and judges nothing.
type answerTable struct {
	Means  [][3]any       `json:"m"` // name of the verdict's mark, its word, what it means
	Checks []checkTable   `json:"t"`
	Of     map[string]int `json:"c"`           // which of Checks holds for a field
	Plates string         `json:"f,omitempty"` // where the plates are that Checks number
}

// checkTable is what the answers to one check mean, by index in Means. Without either
// it is worked out when it is sent.
type checkTable struct {
	Answers []int  `json:"a,omitempty"` // in the order of the check's answers
	Bands   []band `json:"b,omitempty"` // of figures, from the lowest on
	Plates  []int  `json:"p,omitempty"` // of the answers, by number in their file; 0: none
}

// band is the figures up to one, in the check's unit, that mean the same; nil: all
// the rest. Within says whether that one belongs to it.
type band struct {
	To     *float64 `json:"to,omitempty"`
	Within bool     `json:"in,omitempty"`
	Means  int      `json:"m"`
}

// answerTable makes the table for the stops of a form.
func (d *desk) answerTable(stages []visit.Stage) answerTable {
	plates := d.plates.platesOf(d.report.Catalogue, d.vehicle, d.in)
	out := answerTable{Of: map[string]int{}, Plates: d.plates.address(plates)}
	means, tables := map[[3]any]int{}, map[string]int{}
	for _, st := range stages {
		for _, stop := range st.Stops {
			for _, c := range stop.Checks {
				t := d.checkTable(stop.Judgement, c.Check, func(m [3]any) int {
					return numberOf(means, &out.Means, m, m)
				})
				t.Plates = plates.numbersOf(c.Check)
				key, err := json.Marshal(t)
				if err != nil {
					continue // its answers are worked out when they are sent
				}
				out.Of[answerPrefix+stop.Position.ID+"."+c.ID] = numberOf(tables, &out.Checks, string(key), t)
			}
		}
	}
	return out
}

// numberOf is the place of an item in a list, to which it is added where its key is
// new.
func numberOf[K comparable, T any](known map[K]int, list *[]T, key K, item T) int {
	n, ok := known[key]
	if !ok {
		n = len(*list)
		known[key], *list = n, append(*list, item)
	}
	return n
}

func (d *desk) checkTable(j *judge.Judgement, c *catalogue.Check, number func([3]any) int) checkTable {
	var out checkTable
	list, alone := d.report.Meanings(j, c)
	if !alone {
		return out
	}
	for _, m := range list {
		verdict := fleet.Keep
		if m.Reason != nil {
			verdict = m.Reason.Verdict
		}
		n := number([3]any{slug(verdict), verdict.Message(), advise.MeansWords(m.Reason)})
		if m.Answer == "" {
			out.Bands = append(out.Bands, band{m.To, m.Within, n})
			continue
		}
		out.Answers = append(out.Answers, n)
	}
	return out
}

// bareBay is one side of the vehicle, and where on it positions are: the page puts
// its one mark there.
type bareBay struct {
	SVG   template.HTML
	Spots map[string][2]int
}

func (d *desk) bareBays() ([]bareBay, error) {
	sides, err := d.report.BareBays(planWidth, d.in, false)
	if err != nil {
		return nil, err
	}
	var out []bareBay
	for _, side := range []fleet.Side{fleet.Above, fleet.Below} {
		fig, ok := sides[side]
		if !ok {
			continue
		}
		b := bareBay{SVG: template.HTML(fig.SVG), Spots: map[string][2]int{}}
		for _, c := range fig.Legend {
			b.Spots[c.ID] = [2]int{int(c.X), int(c.Y)}
		}
		out = append(out, b)
	}
	return out, nil
}

// lookAt names some of what is looked at, the likeliest first.
func lookAt(checks []visit.CheckItem) message.Text {
	first := slices.SortedStableFunc(slices.Values(checks), func(a, b visit.CheckItem) int {
		return cmp.Compare(a.Likely, b.Likely)
	})
	names := make([]message.Text, len(first))
	for i, c := range first {
		names[i] = message.Name(say.LowerFirst(c.Title()))
	}
	return told.Most(names, namedAtAStop).Capital()
}

// namedAtAStop is how many of its checks a stop names in passing.
const namedAtAStop = 3
