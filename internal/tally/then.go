package tally

import (
	"image"
	"slices"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/surface"
)

// Once is a count that was kept of a part: the finding, and the marks on its picture.
type Once struct {
	Found *fleet.Finding
	Mark  *fleet.PictureMark
}

// Series are the counts of one check on the part that is fitted at a position, oldest first, each picture once as it
// was counted last.
func Series(r *advise.Report, j *judge.Judgement, check string) []Once {
	if j.Place == nil || j.Place.Fitted == nil {
		return nil
	}
	marks := map[string]*fleet.PictureMark{}
	for _, e := range r.State.Marks {
		if e.Mark.Belt != nil {
			marks[e.Mark.Picture] = e.Mark
		}
	}
	var out []Once
	for _, f := range j.Place.Findings {
		if f.Counted == nil || f.Check != check || !j.Place.Fitted.Had(f) || marks[f.Counted.Picture] == nil {
			continue
		}
		out = slices.DeleteFunc(out, func(o Once) bool { return o.Found.Counted.Picture == f.Counted.Picture })
		out = append(out, Once{f, marks[f.Counted.Picture]})
	}
	return out
}

// Picture is the content hash of the picture that was counted on.
func (o Once) Picture() string { return o.Found.Counted.Picture }

// reading is what was counted once as the engine takes it: what hands struck out is not in it.
func (o Once) reading() surface.Reading {
	f, cracks, out := marked(o.Mark, 1)
	r := surface.Reading{Version: o.Found.Counted.Version, Frame: f, Cracks: []surface.Crack{}}
	for i, c := range cracks {
		if !slices.Contains(out, i) {
			r.Cracks = append(r.Cracks, c)
		}
	}
	return r
}

// Strip is the belt of a count squared up, cut from its picture, light by light: as many px to a mm as are useful on
// a screen. The error is the engine's.
func (o Once) Strip(p *image.Gray) (*image.Gray, error) {
	f, _, _ := marked(o.Mark, float64(p.Rect.Dx()))
	s, err := f.Strip(p, stripPerMM(f.Size()))
	if err != nil {
		return nil, &fleet.Error{Kind: fleet.Invalid, Where: "picture", Msg: "its belt cannot be squared up",
			Hint: "count on the picture anew", Err: err}
	}
	out := image.NewGray(image.Rect(0, 0, s.Width, s.Height))
	for i, v := range s.Light {
		out.Pix[i] = uint8(255*min(max(v, 0), 1) + 0.5)
	}
	return out, nil
}

// Bounds of a strip.
const (
	finest    = 14.0  // px to a mm
	mostStrip = 1.5e6 // px
)

func stripPerMM(size surface.Point) float64 {
	perMM := finest
	for size.X*size.Y*perMM*perMM > mostStrip {
		perMM *= 0.9
	}
	return perMM
}
