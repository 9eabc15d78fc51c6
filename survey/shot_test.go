package survey

import (
	"cmp"
	"slices"

	"undertray.example/undertray/drive"
	"undertray.example/undertray/survey/surveytest"
)

const picW, picH = surveytest.Width, surveytest.Height

// shot is a scene photographed and marked, with what a tape and a calliper say.
type shot struct {
	*surveytest.Scene
	photo  Photo
	sketch drive.Run // without centres and diameters
	calm   Measure   // of the largest pulley that is touched five times
	belt   Measure
}

func newShot(seed uint64, snapped bool) *shot {
	for ; ; seed += 1 << 32 {
		s := &shot{Scene: surveytest.NewScene(seed)}
		s.photo = Photo{WidthPX: picW, HeightPX: picH}
		large := slices.MaxFunc(s.Run.Pulleys, func(a, b drive.Pulley) int {
			return cmp.Compare(a.DiameterMM, b.DiameterMM)
		})
		five := s.R.Perm(len(s.Run.Pulleys))[:2]
		for i, p := range s.Run.Pulleys {
			n := 3 + s.R.IntN(4)
			if slices.Contains(five, i) || p.Name == large.Name {
				n = 5 + s.R.IntN(4)
			}
			var rim []Touch
			for _, at := range s.Touches(i, n, 3) {
				rim = append(rim, Touch{at[0], at[1]})
			}
			s.photo.Rims = append(s.photo.Rims, rim)
		}
		if slices.ContainsFunc(s.photo.Rims, func(t []Touch) bool { return t == nil }) {
			continue
		}
		if snapped {
			s.photo.Grey = s.Draw()
		}
		s.sketch = s.Run
		s.sketch.Pulleys = slices.Clone(s.Run.Pulleys)
		for i := range s.sketch.Pulleys {
			s.sketch.Pulleys[i].Centre, s.sketch.Pulleys[i].DiameterMM = drive.Point{}, 0
		}
		s.calm = Measure{Kind: Diameter, A: large.Name, MM: large.DiameterMM + 0.2*s.R.NormFloat64(), SDMM: 0.2}
		s.belt = Measure{Kind: Belt, MM: s.Lay.EffectiveMM + 2*s.R.NormFloat64(), SDMM: 2}
		return s
	}
}
