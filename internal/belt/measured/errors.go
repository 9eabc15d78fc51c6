package measured

import (
	"errors"
	"fmt"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/runwords"
	"undertray.example/undertray/internal/say"
	"undertray.example/undertray/internal/sheet"
	"undertray.example/undertray/survey"
)

// refused says what the adjustment wants, in the owner's words.
func refused(run *fleet.Run, err error) error {
	var f *survey.Fault
	if !errors.As(err, &f) {
		var all []error
		for _, r := range drive.Refusals(err) {
			all = append(all, &fleet.Error{Kind: fleet.Invalid, Where: "run", Msg: runwords.Text(r),
				Hint: runwords.Remedy(r), Reason: r.Code})
		}
		return errors.Join(append(all, unphrased(all, err))...)
	}
	e := faultError(f)
	e.Kind, e.Reason = fleet.Invalid, f.Code
	switch {
	case f.Measure >= len(run.Measures):
		e.Where = "diameter"
	case f.Measure >= 0:
		return &fleet.Error{Kind: e.Kind, Where: fmt.Sprintf("measure %d", f.Measure+1), Msg: e.Msg, Hint: e.Hint,
			Reason: e.Reason}
	}
	return e
}

func unphrased(all []error, err error) error {
	if len(all) > 0 {
		return nil
	}
	return err
}

// faultError is what is wrong, and what would be right.
func faultError(f *survey.Fault) *fleet.Error {
	who := say.Listing(f.Pulleys)
	switch f.Code {
	case survey.BadNumber:
		return &fleet.Error{Where: who, Msg: message.Of("%g is no figure that can be used here", f.Value),
			Hint: "lengths lie above 0 mm, touches on the picture"}
	case survey.NoPulley:
		return &fleet.Error{Msg: "a measure names a pulley that the run does not have", Hint: "choose one of the run"}
	case survey.SamePulley:
		return &fleet.Error{Msg: "a measure goes from a pulley to itself", Hint: "choose two pulleys"}
	case survey.TooFew:
		return &fleet.Error{Where: "picture", Msg: message.Of("too few touches on the rim of the %s", who),
			Hint: message.Of("touch each rim in %.0f places or more, far apart", f.Value)}
	case survey.TooFewRims:
		return &fleet.Error{Where: "picture", Msg: "no two rims are touched in five places",
			Hint: "touch the two largest rims in five places or more each: they tell how the camera was held"}
	case survey.NoEllipse:
		return &fleet.Error{Where: "picture", Msg: message.Of("the touches on the rim of the %s lie on no ellipse",
			who),
			Hint: "spread them over all of the rim that is seen"}
	case survey.NoSketch:
		return &fleet.Error{Where: "sketch", Msg: message.Of("the %s are in one place", who), Hint: "drag them apart"}
	case survey.NoScale:
		return &fleet.Error{Where: "scale", Msg: "nothing says how large the picture is",
			Hint: "give the diameter of a pulley, or the length of the belt that is on"}
	case survey.Undetermined:
		return &fleet.Error{Where: "measures", Msg: message.Of("nothing says yet where or how large this is: %s", who),
			Hint: "a pulley needs its diameter and its distance from two others; a further measure settles it"}
	}
	return &fleet.Error{Where: "measures", Msg: "no run was found that fits all this",
		Hint: "look through the measures for one that is far off, and at the order and sides of the pulleys"}
}

// ReadFile reads a run and its measures from a file of its own and places its pulleys.
func ReadFile(name string, src []byte) (*Placed, error) {
	rs, err := sheet.ReadMeasured(name, src)
	if err != nil {
		return nil, err
	}
	return Place(Ask{Run: rs.Run, Belt: rs.Belt})
}
