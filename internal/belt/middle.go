package belt

import (
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/fleet"

	"undertray.example/undertray/civil"
)

// The middle half of a tensioner's travel, as a share of it: there a pointer
// stands well clear of both its ends (common practice).
const middleFrom, middleTo = 0.25, 0.75

// Stands says where the arithmetic of the run that a position is on puts its
// tensioner with the belt that is fitted: catalogue.RunMiddle, or "" where that
// is elsewhere, at the edge of its marks or not known.
func Stands(cat *catalogue.Catalogue, v *fleet.Vehicle, entries []*fleet.Entry, on civil.Date, position string) string {
	run := v.RunOf(position)
	if run == nil {
		return ""
	}
	b, err := Of(advise.Vehicle(cat, v, entries, on), run.ID, Question{})
	if err != nil || b.Fit == nil || !b.Fit.InMarks || b.Fit.Share < middleFrom || b.Fit.Share > middleTo ||
		len(b.Doubts) > 0 {
		return ""
	}
	return catalogue.RunMiddle
}
