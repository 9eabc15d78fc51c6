package belt

import (
	"math"

	"undertray.example/undertray/draw"
	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
)

// Figure draws the run as it stands with its belt, or as drawn where it is not
// known how that stands. Href gives a pulley's address from its position; nil
// for a drawing without links. A run that cannot be has no drawing.
func (b *Run) Figure(head draw.Head, href func(position string) string) (draw.Figure, error) {
	if head.Title == "" {
		head.Title = message.Name(b.Run.Name)
	}
	return b.Work.figure(head, func(name string) (string, string) { return b.shown(name, href) })
}

// Figure draws the run after the change.
func (c *Change) Figure(head draw.Head) (draw.Figure, error) {
	return c.After.figure(head, func(name string) (string, string) { return say.Capital(name), "" })
}

// shown is how a pulley is written, and where its link leads.
func (b *Run) shown(name string, href func(string) string) (title, link string) {
	for i := range b.Run.Pulleys {
		p := &b.Run.Pulleys[i]
		if sheet.PulleyName(p.Name) != name {
			continue
		}
		if href != nil && p.Position != "" {
			link = href(p.Position)
		}
		return p.Name, link
	}
	return say.Capital(name), ""
}

// figure draws what was laid out.
func (w *Work) figure(head draw.Head, shown func(name string) (title, link string)) (draw.Figure, error) {
	if w.Drive == nil {
		return draw.Figure{}, &fleet.Error{Kind: fleet.Invalid, Where: "run",
			Msg: "a run that cannot be worked out has no drawing", Hint: "put right what is named first"}
	}
	spec := draw.Run{Head: head, Thickness: w.Source.Belt.Section.ThickMM}
	if w.Source.Belt.Section.Family == drive.Vee {
		spec.Thickness = 0 // it lies in its groove, not on it
	}
	for i, p := range w.Layout.Pulleys {
		title, link := shown(p.Name)
		driver := w.Source.Pulleys[i].Driver
		spec.Pulleys = append(spec.Pulleys,
			draw.Pulley{Number: i + 1, Name: title, X: p.Centre.X, Y: p.Centre.Y, Radius: p.RimMM,
				Back: p.Side == drive.BackSide, Driver: driver, Span: w.Layout.Spans[i].LengthMM,
				Wrap: p.WrapDeg, Href: link})
		if driver {
			spec.Anticlockwise = p.Turns == drive.Anticlockwise
		}
	}
	spec.Tensioner = w.drawnTensioner()
	return draw.BeltRun(spec)
}

// drawnTensioner is the tensioner's travel counted from where it stands now.
func (w *Work) drawnTensioner() *draw.Tensioner {
	t := &w.Source.Tensioner
	if t.Kind == drive.NoTensioner {
		return nil
	}
	at := w.Layout.Position
	out := &draw.Tensioner{Pulley: w.Source.Index(t.Pulley) + 1, Slides: !t.Kind.Swings(), PivotX: t.Pivot.X,
		PivotY:   t.Pivot.Y,
		SlideDeg: t.SlideDeg, Low: math.Min(0, t.Low-at), High: math.Max(0, t.High-at)}
	for _, m := range t.Marks {
		out.Marks = append(out.Marks, draw.TensionMark{Name: m.Name, At: m.At - at})
	}
	return out
}

// Sketch draws a run from the figures of the sheet alone, whatever may be
// wrong with it. Href gives a pulley's address from its position, "" for none.
func Sketch(run *fleet.Run, head draw.Head, href func(position string) string) (draw.Figure, error) {
	if head.Title == "" {
		head.Title = message.Name(run.Name)
	}
	spec := draw.Run{Head: head}
	for i := range run.Pulleys {
		p := &run.Pulleys[i]
		link := ""
		if p.Position != "" {
			link = href(p.Position)
		}
		spec.Pulleys = append(spec.Pulleys,
			draw.Pulley{Number: i + 1, Name: p.Name, X: p.X.Base(), Y: p.Y.Base(), Radius: p.Diameter.Base() / 2,
				Back: p.Side == "back", Driver: p.Driver, Href: link})
	}
	return draw.BeltRun(spec)
}
