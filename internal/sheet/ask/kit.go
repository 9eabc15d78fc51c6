package ask

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/yamltree"
)

//go:embed data/*.yaml
var data embed.FS

// words are one or more words; one may stand alone.
type words []string

// UnmarshalText takes a word that stands alone.
func (w *words) UnmarshalText(b []byte) error {
	*w = words{string(b)}
	return nil
}

// condition names facts and the answers of which each must have one.
type condition map[string]words

// facts are what is known of a vehicle: answers, and what follows from them.
type facts map[string]words

func (f facts) meet(c condition) bool {
	for fact, any := range c {
		if !slices.ContainsFunc(any, func(w string) bool { return slices.Contains(f[fact], w) }) {
			return false
		}
	}
	return true
}

// hold reports whether something with these conditions belongs to a vehicle.
func (f facts) hold(when, unless condition) bool {
	return f.meet(when) && (len(unless) == 0 || !f.meet(unless))
}

// Step is a handful of questions asked together.
type Step struct {
	ID  string `yaml:"id" json:"id"`
	Say string `yaml:"say" json:"say"`
}

// Question is one thing asked of a vehicle, answered by one of its choices.
type Question struct {
	ID      string    `yaml:"id" json:"id"`
	Step    string    `yaml:"step" json:"step"`
	Ask     string    `yaml:"ask" json:"ask"`
	Hint    string    `yaml:"hint,omitempty" json:"hint,omitempty"`
	About   string    `yaml:"about,omitempty" json:"-"` // how the sheet says its answer, *
	When    condition `yaml:"when,omitempty" json:"-"`
	Unless  condition `yaml:"unless,omitempty" json:"-"`
	Choices []Choice  `yaml:"choices" json:"choices"`
	Usual   []usual   `yaml:"usual" json:"-"`
	Unknown *usual    `yaml:"unknown,omitempty" json:"-"`
}

// Choice is one answer. Plate names a drawing that shows it; empty: none does.
type Choice struct {
	ID     string    `yaml:"id" json:"id"`
	Say    string    `yaml:"say" json:"say"`
	Plate  string    `yaml:"plate,omitempty" json:"plate,omitempty"`
	When   condition `yaml:"when,omitempty" json:"-"`
	Unless condition `yaml:"unless,omitempty" json:"-"`
}

// usual is an answer that is taken where none is given; Says is why.
type usual struct {
	Is   string    `yaml:"is"`
	When condition `yaml:"when,omitempty"`
	Says string    `yaml:"says,omitempty"`
}

// Machine is what a belt may run over, and the pulley it commonly has.
type Machine struct {
	ID        string            `yaml:"id" json:"id"`
	Say       string            `yaml:"say" json:"say"`
	Diameter  string            `yaml:"diameter" json:"diameter"`
	Load      map[string]string `yaml:"load,omitempty" json:"-"`
	Maximum   string            `yaml:"maximum,omitempty" json:"-"`
	Back      bool              `yaml:"back,omitempty" json:"back,omitempty"`         // the belt's back runs on it
	Guide     bool              `yaml:"guide,omitempty" json:"guide,omitempty"`       // an idler or tensioner
	Tightens  bool              `yaml:"tightens,omitempty" json:"tightens,omitempty"` // a tensioner
	When      condition         `yaml:"when,omitempty" json:"-"`
	Unless    condition         `yaml:"unless,omitempty" json:"-"`
	Must      bool              `yaml:"must,omitempty" json:"-"`
	Positions []string          `yaml:"positions,omitempty" json:"-"`
}

// BeltKind is how a belt is held tight.
type BeltKind struct {
	ID         string `yaml:"id" json:"id"`
	Say        string `yaml:"say" json:"say"`
	Holds      string `yaml:"holds" json:"-"`                // kind of the tensioner on its run
	Tensioners string `yaml:"tensioners,omitempty" json:"-"` // one or none; empty: either
	Cut        bool   `yaml:"cut,omitempty" json:"-"`        // it comes off by a knife
	Section    string `yaml:"section,omitempty" json:"-"`    // of a belt that runs on no back
}

type beltName struct {
	ID   string    `yaml:"id"`
	Name string    `yaml:"name"`
	When condition `yaml:"when,omitempty"`
}

// Belt is one belt: how it is held tight, and what it turns after the crankshaft's
// pulley, in the order in which it travels, clockwise as one looks at it.
type Belt struct {
	Kind  string   `yaml:"kind" json:"kind"`
	Turns []string `yaml:"turns" json:"turns"`
}

type usualBelts struct {
	When  condition `yaml:"when"`
	Belts []Belt    `yaml:"belts"`
}

// Archetype is a usual sort of vehicle as a set of answers.
type Archetype struct {
	ID    string            `yaml:"id" json:"id"`
	Name  string            `yaml:"name" json:"name"`
	About string            `yaml:"about" json:"about"`
	Say   map[string]string `yaml:"say" json:"say"`
}

// typical is a figure that hangs on one answer.
type typical struct {
	Name string            `yaml:"name"`
	By   string            `yaml:"by"`
	Is   map[string]string `yaml:"is"`
}

// module is a part of sheets. Its items stay trees: they hold words to be put in.
type module struct {
	ID        string          `yaml:"module"`
	Each      string          `yaml:"each,omitempty"`
	When      condition       `yaml:"when,omitempty"`
	Unless    condition       `yaml:"unless,omitempty"`
	Heading   string          `yaml:"heading,omitempty"`
	Openings  []yamltree.Node `yaml:"openings,omitempty"`
	Positions []yamltree.Node `yaml:"positions,omitempty"`
}

// kit is all that sheets are put together from.
type kit struct {
	Steps      []Step            `yaml:"steps,omitempty"`
	Questions  []Question        `yaml:"questions,omitempty"`
	Crank      *Machine          `yaml:"crank,omitempty"`
	BeltNames  []beltName        `yaml:"belt_names,omitempty"`
	Machines   []Machine         `yaml:"machines,omitempty"`
	Belts      []BeltKind        `yaml:"belts,omitempty"`
	UsualBelts []usualBelts      `yaml:"usual_belts,omitempty"`
	Archetypes []Archetype       `yaml:"archetypes,omitempty"`
	Figures    []typical         `yaml:"figures,omitempty"`
	Texts      map[string]string `yaml:"texts,omitempty"`
	Ways       map[string]words  `yaml:"ways,omitempty"`
	Modules    []module          `yaml:"modules,omitempty"`
	Runs       []yamltree.Node   `yaml:"runs,omitempty"`
}

// theKit reads the data once. It is part of the program: it panics if it is damaged.
var theKit = sync.OnceValue(func() *kit {
	k := &kit{Texts: map[string]string{}, Ways: map[string]words{}}
	names, err := fs.Glob(data, "data/*.yaml")
	if err != nil {
		panic("ask: " + err.Error())
	}
	for _, name := range names {
		src, err := data.ReadFile(name)
		if err != nil {
			panic("ask: " + err.Error())
		}
		var f kit
		if err := yamltree.Read(src, &f); err != nil {
			panic(fmt.Sprintf("ask: %s: %v", name, err))
		}
		k.join(&f)
	}
	return k
})

func (k *kit) join(f *kit) {
	k.Steps, k.Questions = append(k.Steps, f.Steps...), append(k.Questions, f.Questions...)
	k.Machines, k.Belts = append(k.Machines, f.Machines...), append(k.Belts, f.Belts...)
	k.UsualBelts, k.Archetypes = append(k.UsualBelts, f.UsualBelts...), append(k.Archetypes, f.Archetypes...)
	if f.Crank != nil {
		k.Crank = f.Crank
	}
	k.BeltNames = append(k.BeltNames, f.BeltNames...)
	k.Figures = append(k.Figures, f.Figures...)
	k.Modules, k.Runs = append(k.Modules, f.Modules...), append(k.Runs, f.Runs...)
	for id, text := range f.Texts {
		k.Texts[id] = text
	}
	for id, way := range f.Ways {
		k.Ways[id] = append(k.Ways[id], way...)
	}
}

func (k *kit) machine(id string) *Machine {
	if i := slices.IndexFunc(k.Machines, func(m Machine) bool { return m.ID == id }); i >= 0 {
		return &k.Machines[i]
	}
	return nil
}

func (k *kit) beltKind(id string) *BeltKind {
	if i := slices.IndexFunc(k.Belts, func(b BeltKind) bool { return b.ID == id }); i >= 0 {
		return &k.Belts[i]
	}
	return nil
}

func (k *kit) question(id string) *Question {
	if i := slices.IndexFunc(k.Questions, func(q Question) bool { return q.ID == id }); i >= 0 {
		return &k.Questions[i]
	}
	return nil
}

// Steps lists the steps in the order they are asked.
func Steps() []Step { return slices.Clone(theKit().Steps) }

// Machines lists what a belt may run over.
func Machines() []Machine { return slices.Clone(theKit().Machines) }

// BeltKinds lists how a belt may be held tight.
func BeltKinds() []BeltKind { return slices.Clone(theKit().Belts) }

// Archetypes lists the usual sorts of vehicle.
func Archetypes() []Archetype { return slices.Clone(theKit().Archetypes) }

// Texts are the texts of the catalogue of parts, and those that ask of a new vehicle, for catalogues of messages.
func Texts() map[string]bool {
	out, k := catalogue.Texts(), theKit()
	for _, step := range k.Steps {
		out[step.Say] = true
	}
	for _, q := range k.Questions {
		out[q.Ask] = true
		if q.Hint != "" {
			out[q.Hint] = true
		}
		for _, c := range q.Choices {
			out[c.Say] = true
		}
		if u := q.Unknown; u != nil && u.Says != "" {
			out[u.Says] = true
		}
	}
	for _, m := range k.Machines {
		out[m.Say] = true
	}
	for _, b := range k.Belts {
		out[b.Say] = true
	}
	for _, a := range k.Archetypes {
		out[a.Name], out[a.About] = true, true
	}
	return out
}
