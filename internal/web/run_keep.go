package web

import (
	"net/http"
	"strings"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/internal/sheet/edit"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/internal/yard"
)

// runKeep is what a run that was worked out can be kept as: a run of the vehicle, a part to buy, or a note.
type runKeep struct {
	Action, Batch string
	Text          string // the run, YAML without its id and belt
	Like          *fleet.Run
	Words         string // what it came to
	Name, Printed string
	Belts         []runLink // positions of belts: Here where it is that of the run
	Kinds         []*catalogue.Kind
	// What it would change, once it was asked to be kept.
	Lines         []edit.Line
	As, Belt, Was string
	Title         string
}

// runKeepPage shows what keeping a run changes in the sheet.
type runKeepPage struct {
	Page
	Headline message.Text
	Keep     *runKeep
}

// runKeep sets out how a run can be kept; like is the id of the one it began as, or "".
func (s *Server) runKeep(d *desk, run *fleet.Run, like string, words message.Text) (*runKeep, error) {
	bare := *run
	bare.ID, bare.Belt = "", ""
	text, err := yamltree.Write(bare)
	if err != nil {
		return nil, err
	}
	k := &runKeep{Action: "/v/" + d.vehicle.ID + "/runs", Batch: s.opt.NewID(), Text: string(text),
		Like: d.vehicle.Run(like), Words: words.In(d.in), Name: run.Name}
	if k.Like != nil {
		k.Name = message.Of("%s, changed", k.Name).In(d.in)
	}
	if b, err := belt.Alone(&sheet.RunSheet{Run: &bare, Belt: sheet.BeltOf(run, nil, d.partOf(run.Belt))},
		belt.Question{}); err == nil {
		k.Printed = b.ToBuy()
	}
	k.belts(d, run.Belt)
	return k, nil
}

func (d *desk) partOf(position string) (part fleet.PartSpec) {
	if p := d.vehicle.Position(position); p != nil {
		part = p.Part
	}
	return part
}

func (k *runKeep) belts(d *desk, chosen string) {
	for i := range d.vehicle.Positions {
		p := &d.vehicle.Positions[i]
		if kind := d.yard.Catalogue.Kind(p.Kind); kind != nil && kind.Belt != "" {
			k.Belts = append(k.Belts, runLink{p.ID, p.Name, p.ID == chosen})
		}
	}
	for _, kind := range d.yard.Catalogue.Kinds() {
		if kind.Belt != "" && kind.Belt != catalogue.ToothedBelt {
			k.Kinds = append(k.Kinds, kind)
		}
	}
}

// runsKeep answers POST /v/{id}/runs: it shows what keeping a run changes in the sheet, writes it once that is agreed
// to, or keeps as a note that it was set aside.
func (s *Server) runsKeep(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	f := d.typed(r)
	rs, err := sheet.ReadRun("run", []byte(f.Get("placed")))
	if err != nil {
		return err
	}
	k, err := s.runKeep(d, rs.Run, f.text("like"), message.Name(f.text("words")))
	if err != nil {
		return err
	}
	k.As, k.Name, k.Printed, k.Belt = f.text("as"), f.text("run-name"), f.text("printed"), f.text("belt")
	if k.As == "aside" {
		at := ""
		if k.Like != nil {
			at = k.Like.Belt
		}
		return s.keepForm(w, r, d, func() string { return "journal" }, func() ([]*fleet.Entry, error) {
			return []*fleet.Entry{{Type: fleet.TypeNote, Date: s.today(), Note: &fleet.Note{Position: at,
				Text: message.Of("Tried and set aside: %s", k.Words).In(d.in)}}}, nil
		}, func(err error) error { return err })
	}
	src, err := s.readSheet(r)
	if err != nil {
		return err
	}
	to := ""
	c, err := edit.Make(d.vehicle.ID+".yaml", src, d.yard.Catalogue, func(v *fleet.Vehicle) (err error) {
		to, err = k.change(v, rs.Run, d)
		return err
	})
	if err != nil {
		return err
	}
	if f.Get("sure") != "" {
		if err := s.replaceSheet(r, c.Sheet.Vehicle, c.Now, f.Get("was")); err != nil {
			return err
		}
		http.Redirect(w, r, "/v/"+d.vehicle.ID+"/"+to, http.StatusSeeOther)
		return nil
	}
	k.Lines, k.Was = c.Lines(), yard.Digest(src)
	page := runKeepPage{Page: s.page(r, d, "run", "Keep a run, %s"), Keep: k,
		Headline: message.Counted(len(k.Lines), "This changes %d lines of the sheet; nothing is written yet.",
			"This changes %d lines of the sheet; nothing is written yet.", len(k.Lines))}
	if len(k.Lines) == 0 {
		page.Headline = "The sheet says all this already."
	}
	return s.answer(w, r, "runkeep", page, map[string]any{"headline": page.Headline, "lines": k.Lines, "was": k.Was})
}

// change puts the run into the vehicle as it is to be kept, and returns the page to go on to.
func (k *runKeep) change(v *fleet.Vehicle, run *fleet.Run, d *desk) (to string, err error) {
	wants := func(where string, msg, hint message.Text) error {
		return &fleet.Error{Kind: fleet.Invalid, Where: where, Msg: msg, Hint: hint}
	}
	switch {
	case k.As == "same" && k.Like != nil:
		run.ID, run.Name, run.Belt = k.Like.ID, k.Like.Name, k.Like.Belt
		edit.SetRun(v, *run)
		return "run/" + run.ID, nil
	case k.As == "part":
		p := v.Position(k.Belt)
		if p == nil {
			return "", wants("belt", "no belt of the vehicle is chosen", "choose the position it is bought for")
		}
		if k.Printed == "" {
			return "", wants("printed", "nothing says which belt to buy",
				"write what is printed on it, such as 6PK1880")
		}
		p.Part.Number = k.Printed
		return "plan/parts", nil
	case k.As != "run":
		return "", wants("as", "nothing says what to keep it as", "load the page again and choose")
	case k.Name == "":
		return "", wants("name", "the run has no name", "call it after its belt, such as Air conditioning belt")
	}
	if kind, isNew := strings.CutPrefix(k.Belt, "new:"); isNew {
		p := fleet.Position{ID: edit.NewID(v, k.Name, d.takenIDs()...), Name: k.Name, Kind: kind, From: fleet.Above,
			X: 50, Y: 40, Part: fleet.PartSpec{Number: k.Printed}}
		edit.AddPosition(v, p, d.yard.Catalogue)
		run.Belt = p.ID
	} else {
		run.Belt = k.Belt
	}
	run.Name, run.ID = k.Name, edit.NewID(v, k.Name+" run", d.takenIDs()...)
	edit.SetRun(v, *run)
	return "run/" + run.ID, nil
}
