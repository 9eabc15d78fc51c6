package surface

// Station is a line across a belt in a picture.
type Station struct {
	Along float64 `json:"along"` // mm along the belt from the first station
	// Lines are where the station meets the borders of the ribs, px, in the order of increasing across: rib k lies
	// between Lines[k] and Lines[k+1], so that there is one more than there are ribs. The outer two are the edges
	// of the ribbed face.
	Lines []Point `json:"lines"`
}

// Frame lays a belt's own coordinates over a picture: mm across from the first line, mm along from the first station.
// Between stations and lines it is linear.
type Frame struct {
	Pitch    float64   `json:"pitch"` // of the ribs, mm
	Stations []Station `json:"stations"`
	// Faint is, of each rib, how many cracks a mm are expected that are too faint for a mark in this picture.
	Faint []float64 `json:"faint,omitempty"`
}

// Measure is a value with the band that holds it nine times in ten.
type Measure struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Fault is something in the way of reading a picture, as a code with its figures: what was found and what is wanted.
// What Stops must be put right before anything is counted; the rest is a warning beside a count.
type Fault struct {
	Code  string  `json:"code"`
	Value float64 `json:"value,omitempty"`
	Want  float64 `json:"want,omitempty"`
	Stops bool    `json:"stops,omitempty"`
}

// Codes of faults.
const (
	NoBelt   = "no-belt"  // no ribs side by side; Value ribs found
	NotBelt  = "not-belt" // stripes, but not those of a ribbed belt; nothing is counted on them
	FewRibs  = "few-ribs" // Value ribs, Want at least
	Small    = "small"    // Value px per mm, Want at least
	Blurred  = "blurred"  // Value px of blur, Want at most
	Dark     = "dark"     // Value light of the ribs, Want at least
	Glare    = "glare"    // Value share of the ribs that is burnt out, Want at most
	Noisy    = "noisy"    // Value noise as a share of light, Want at most
	Tilted   = "tilted"   // Value radians of tilt along the belt, Want at most
	TooShort = "short"    // Value mm of belt in the picture, Want at least
)

// Crack is a crack, or what was taken for one, in a belt's own coordinates.
type Crack struct {
	Path     []Point `json:"path"`     // X mm across, Y mm along
	Ribs     []int   `json:"ribs"`     // it crosses, from 0
	Length   float64 `json:"length"`   // mm
	Width    float64 `json:"width"`    // mm; the blur of the picture counts in
	Contrast float64 `json:"contrast"` // share of light gone in its middle
	Chance   float64 `json:"chance"`   // that it is a crack, 0 to 1
	Hand     bool    `json:"hand,omitempty"`
}

// Candidate is a place that may have lost a piece or frayed, for somebody to look at: it is not counted.
type Candidate struct {
	Kind   string  `json:"kind"` // "piece" or "fray"
	At     Point   `json:"at"`   // mm across and along
	Size   Point   `json:"size"` // mm
	Chance float64 `json:"chance"`
}

// Count is how many cracks ribs have.
type Count struct {
	Ribs  []int   `json:"ribs"`  // of each rib, on the length seen
	Worst int     `json:"worst"` // rib with the most on 75 mm, from 0
	Seen  float64 `json:"seen"`  // mm of belt that could be read
	// Of75 and Of25 are the most cracks that any 75 mm and any 25 mm of one rib have, those of 25 mm not always on the
	// worst rib. Where less than that was seen, what was counted is scaled up, and the band says so.
	Of75 Measure `json:"of75"`
	Of25 Measure `json:"of25"`
}

// Reading is all that a picture of a ribbed belt tells.
type Reading struct {
	Version    string      `json:"version"` // of the method
	Frame      Frame       `json:"frame"`
	Across     Measure     `json:"across"` // px per mm across, in the middle
	Along      Measure     `json:"along"`  // px per mm along, in the middle
	Tilt       Measure     `json:"tilt"`   // along the belt, radians; its far end is further off where it is greater than 0
	Blur       float64     `json:"blur"`   // px, standard deviation
	Faults     []Fault     `json:"faults,omitempty"`
	Cracks     []Crack     `json:"cracks"`
	Candidates []Candidate `json:"candidates,omitempty"`
	Count      Count       `json:"count"` // nothing where a fault stops
}
