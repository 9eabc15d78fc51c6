package drawn

import (
	"math"
	"math/rand/v2"
)

// Scene is a belt, its light and a camera. Render draws it.
type Scene struct {
	Seed       uint64 // of grain, dirt, background and noise
	Wide, High int    // px

	Ribs   int
	Pitch  float64 // mm
	Height float64 // of a new rib, mm
	Tip    float64 // flat of a new rib's tip, mm
	Flanks float64 // between the two of a rib, radians
	Round  float64 // mm over which corners are rounded
	Worn   float64 // mm off each flank

	Bend float64 // radius of the tips, mm; 0 is straight
	Apex float64 // mm along of the middle of the bend
	Wrap float64 // radians of the bend

	// Begin and Stop are the mm along between which the belt is seen: a hose or a hand stands before what is beyond
	// them. Where both are 0 all is seen. Beyond where a mm along is less than a third of what it is in the middle
	// nothing is.
	Begin, Stop float64

	Scale      float64 // px per mm in the middle, seen square on
	Focal      float64 // px
	OffX, OffY float64 // px, of the camera's axis from the middle of the picture: what was cropped off centre
	Tilt       float64 // lengthwise: greater mm along are further off
	Lean       float64 // sideways: greater mm across are further off
	Turn       float64 // in the plane of the picture; at 0 mm along grow upwards

	// where the lamp is seen from the belt: 0 on the side of greater mm across, then towards greater mm along
	From     float64
	Above    float64 // of the lamp over the belt
	Distance float64 // of the lamp, mm
	Diffuse  float64 // share of the light that comes from all around
	Sheen    float64 // how strongly it shines: 1 as smooth rubber
	Rough    float64 // of the sheen, 0.1 to 0.7
	Level    float64 // the ribs' median in values of the picture

	Grain, Streak, Blotch float64 // standard deviations, share of the light
	Uneven                float64 // the same, from rib to rib
	Chalk                 float64 // light that chalky grooves add, as a share of clean rubber's
	Dust, Dirt            float64 // light and dark spots on 100 mm2
	Fibres                int
	Print                 bool
	Ground                string // Grounds names all

	Cracks []Crack
	Alike  []Alike
	Pieces []Piece
	Frays  []Fray

	Blur    float64 // of the lens, px, standard deviation; that of a pixel's own area is not in it
	Motion  float64 // px along, of the hand
	Moving  float64 // direction of it
	Noise   float64 // standard deviation at half of the picture's values
	Quality int     // JPEG; 0 for none
}

// Crack is one crack of a belt. Its branches belong to it and count no more than it does.
type Crack struct {
	Path     []Point
	Branches [][]Point
	Width    float64 // mm
	Contrast float64 // share of the light that is gone in its middle
	Ribs     []int   // that it crosses, from 0
}

// Alike is what could be taken for a crack and is none.
type Alike struct {
	Kind  string // "scratch", "seam", "dirt", "scuff", "joint", "chatter", "shadow"
	Path  []Point
	Width float64 // mm
	Light float64 // what it adds to the light, as a share; below 0 it takes
}

// Piece is a piece of rib that is gone.
type Piece struct {
	Rib           int
	Along, Length float64 // mm: its middle, and how long
	Deep          float64 // mm below the tips
}

// Fray is a stretch of a belt's edge that frays.
type Fray struct {
	Far           bool    // of the edge where across is greatest
	Along, Length float64 // mm
	Deep          float64 // mm into the belt
}

const reach = 110 // mm along on both sides of the middle on which cracks are drawn by lot

// Any draws by lot a belt as an owner could photograph it: 4 to 8 ribs, 8 to 20 px per mm, tilts to 40 degrees, a
// bend or none, cracks of 0.1 to 0.5 mm and 5 % on, each of them clear enough to be seen (Scene.Clear with Seen);
// one in seven has none. The same seed gives the same scene.
func Any(seed uint64) Scene {
	r := rand.New(rand.NewPCG(seed, 0xbe17))
	s := sound(seed, r)
	if r.IntN(7) > 0 {
		s.crack(r)
	}
	s.alike(r, r.IntN(3))
	if r.IntN(8) == 0 {
		s.Pieces = append(s.Pieces, Piece{Rib: r.IntN(s.Ribs), Along: (r.Float64() - 0.5) * 40,
			Length: 2 + 6*r.Float64(), Deep: s.Height * (0.5 + 0.5*r.Float64())})
	}
	if r.IntN(8) == 0 {
		s.Frays = append(s.Frays, Fray{Far: r.IntN(2) == 0, Along: (r.Float64() - 0.5) * 40,
			Length: 8 + 25*r.Float64(), Deep: 0.4 + r.Float64()})
	}
	s.Clear(Seen)
	return s
}

// Clean is a belt without a crack, but with much that looks like one: scratches lighter than the ground, mould seams,
// lines of dirt, scuffs, joints of texture, chatter of grinding, shadows.
func Clean(seed uint64) Scene {
	r := rand.New(rand.NewPCG(seed, 0xc1ea))
	s := sound(seed, r)
	s.alike(r, 1+r.IntN(5))
	return s
}

// sound is a belt with no crack.
func sound(seed uint64, r *rand.Rand) Scene {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	s := Scene{Seed: seed, Ribs: 4 + r.IntN(5), Pitch: 3.56, Height: between(2, 2.3), Tip: between(0.75, 1.3),
		Flanks: 40 * math.Pi / 180, Round: between(0.1, 0.45)}
	if r.IntN(2) == 0 {
		s.Worn = between(0, 0.35)
	}
	s.Scale = math.Exp(between(math.Log(8), math.Log(20)))
	s.Focal = s.Scale * math.Exp(between(math.Log(90), math.Log(280)))
	long := between(900, 1250)
	s.Wide, s.High = int(long), int(long*between(0.6, 0.8))
	// A camera sees 60 to 75 degrees on its longer side: no picture sees more.
	s.Focal = max(s.Focal, long/2/math.Tan(between(60, 75)*math.Pi/360))
	if r.IntN(5) == 0 {
		s.OffX, s.OffY = r.NormFloat64()*0.15*long, r.NormFloat64()*0.15*long
	}
	s.Turn = between(-math.Pi, math.Pi)
	if r.IntN(2) == 0 { // most hold the belt along or across the picture
		s.Turn = float64(r.IntN(4))*math.Pi/2 + 0.1*r.NormFloat64()
	}
	if r.IntN(2) == 0 {
		s.Wide, s.High = s.High, s.Wide
	}
	tilt, way := 40*math.Pi/180*math.Pow(r.Float64(), 1.5), between(-math.Pi, math.Pi)
	s.Tilt, s.Lean = tilt*math.Sin(way), tilt*math.Cos(way)
	if r.IntN(2) == 0 {
		s.Bend = 1 / between(1.0/200, 1.0/25)
		s.Wrap, s.Apex = between(0.6, 2.8), 0.3*s.Bend*(r.Float64()-0.5)
	}
	if r.IntN(5) == 0 {
		half := long / s.Scale / 2
		s.Begin, s.Stop = -half*between(0.5, 1.6), half*between(0.5, 1.6)
	}
	s.lamp(r)
	s.wear(r)
	s.camera(r)
	s.Ground = Grounds[r.IntN(len(Grounds))]
	return s
}

func (s *Scene) lamp(r *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	s.From = between(-math.Pi, math.Pi)
	s.Above = math.Asin(between(0.35, 0.98))
	s.Distance = math.Exp(between(math.Log(120), math.Log(1500)))
	s.Diffuse = between(0.15, 0.8)
	s.Sheen, s.Rough = between(0.2, 1.1), between(0.32, 0.65)
	s.Level = between(0.25, 0.55)
}

func (s *Scene) wear(r *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	s.Grain, s.Streak, s.Blotch = between(0.015, 0.09), between(0.01, 0.07), between(0.02, 0.12)
	s.Uneven = between(0, 0.06)
	if r.IntN(4) == 0 {
		s.Chalk = between(0.3, 2.5)
	}
	s.Dust, s.Dirt = 2*r.ExpFloat64(), 1*r.ExpFloat64()
	s.Dust, s.Dirt = min(s.Dust, 8), min(s.Dirt, 4)
	s.Fibres = r.IntN(6)
	s.Print = r.IntN(25) == 0
}

func (s *Scene) camera(r *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	s.Blur = 1.5 * r.Float64()
	if r.IntN(3) == 0 {
		s.Motion, s.Moving = between(0, 2.5), between(0, math.Pi)
		// the two together stay within 1.5 px
		s.Blur = math.Sqrt(max(s.Blur*s.Blur-s.Motion*s.Motion/12, 0))
	}
	s.Noise = math.Exp(between(math.Log(0.004), math.Log(0.025)))
	s.Quality = 60 + r.IntN(36)
}

// Sample is a belt of six ribs that have 3, 5, 9, 4, 2 and no cracks on 68 mm, plain to see.
func Sample() Scene {
	s := Scene{Seed: 6, Wide: 800, High: 1300, Ribs: 6, Pitch: 3.56, Height: 2.1, Tip: 1, Round: 0.3,
		Flanks: 40 * math.Pi / 180, Scale: 15, Focal: 1500, Tilt: 0.03, Lean: 0.02, Turn: 0.05,
		From: 1.2, Above: 0.6, Distance: 800, Diffuse: 0.4, Sheen: 0.3, Rough: 0.5, Level: 0.42, Grain: 0.06,
		Ground: "bench", Blur: 0.7, Noise: 0.01}
	for rib, n := range []int{3, 5, 9, 4, 2, 0} {
		for i := range n {
			x, y := (float64(rib)+0.5)*s.Pitch, -34+68*(float64(i)+0.5)/float64(n)+float64(rib)
			s.Cracks = append(s.Cracks, Crack{Width: 0.35, Contrast: 0.5, Ribs: []int{rib},
				Path: []Point{{X: x - 1.5, Y: y}, {X: x, Y: y + 0.3}, {X: x + 1.5, Y: y + 0.1}}})
		}
	}
	return s
}
