package catalogue

import (
	_ "embed"
	"strings"
	"sync"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yamltree"
	"undertray.example/undertray/units"
)

//go:embed bearings.yaml
var bearingsSource []byte

// Bearing is the usual inside of a deep groove ball bearing.
type Bearing struct {
	Number   string         `yaml:"number"`
	Balls    int            `yaml:"balls"`
	Ball     units.Quantity `yaml:"ball"`     // diameter of a ball
	Pitch    units.Quantity `yaml:"pitch"`    // diameter of the circle of their centres
	Standing string         `yaml:"standing"` // published or from memory
	Source   string         `yaml:"source"`
}

var bearings = sync.OnceValues(func() ([]Bearing, error) {
	var out []Bearing
	err := yamltree.Read(bearingsSource, &out)
	return out, err
})

// Bearings lists the bearings whose inside is known, by number. An error is a
// mistake in the built-in file, and a test would have failed.
func Bearings() ([]Bearing, error) { return bearings() }

// BearingOf finds a bearing by the number stamped on it; seals, clearance and
// maker's letters around it are passed over, so "6203-2RSH/C3" is a 6203. The
// error is a *fleet.Error of kind NotFound that lists what is known.
func BearingOf(stamped string) (Bearing, error) {
	all, err := Bearings()
	if err != nil {
		return Bearing{}, err
	}
	known := make([]string, len(all))
	for i, b := range all {
		if known[i] = b.Number; stampedWith(stamped, b.Number) {
			return b, nil
		}
	}
	return Bearing{}, &fleet.Error{Kind: fleet.NotFound, Where: "bearing",
		Msg: message.Of("the inside of a bearing %q is not known", stamped),
		Hint: message.Of("known are %s; or give balls, ball and pitch of the bearing on the vehicle sheet",
			strings.Join(known,
				", "))}
}

// stampedWith reports whether a number stands in what is stamped, with no
// digit to either side.
func stampedWith(stamped, number string) bool {
	i := strings.Index(stamped, number)
	if i < 0 {
		return false
	}
	after := stamped[i+len(number):]
	return (i == 0 || !digit(stamped[i-1])) && (after == "" || !digit(after[0]))
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
