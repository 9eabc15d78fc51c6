package catalogue

import (
	"undertray/internal/yamltree"
)

// lives checks how intervals are read as lives.
func (v *validator) lives(r *Reading) {
	if r.Share <= 0 || r.Share >= 1 {
		v.d.Note("lives.share", "share is %g: write the share of parts that have failed by an interval, between 0 and 1", r.Share)
	}
	for key, figure := range map[string]float64{"log_sd": r.LogSD, "shape": r.Shape, "shape_log_sd": r.ShapeLogSD} {
		if figure <= 0 {
			v.d.Note("lives."+key, "%s is %g: write a figure above 0", key, figure)
		}
	}
	v.source("lives", r.Source, "")
}

// life checks how a kind fails.
func (v *validator) life(path string, l *Life) {
	v.text(path, "lets_down", l.LetsDown)
	if l.Share < 0 || l.Share >= 1 {
		v.d.Note(yamltree.Join(path, "share"), "share is %g: write the share of parts that have failed by the interval, between 0 and 1", l.Share)
	}
	if l.Shape < 0 {
		v.d.Note(yamltree.Join(path, "shape"), "shape is %g: write a figure above 0, or leave it out", l.Shape)
	}
	v.source(path, l.Source, "")
}

// wear checks what is believed of a figure's course.
func (v *validator) wear(path string, c *Check) {
	if c.Wear == nil {
		return
	}
	if !c.Measured() {
		v.d.Note(path, "a check answered in words has no wear: take wear out, or write answer: figure and a unit")
		return
	}
	if s := c.Wear.Start; s != nil && !c.Takes(*s) {
		v.d.Note(yamltree.Join(path, "start"), "%s is no figure of this check: write it in %s", s, c.Unit)
	}
	v.source(path, c.Wear.Source, "")
}
