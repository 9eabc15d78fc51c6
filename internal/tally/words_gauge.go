package tally

import (
	"fmt"
	"strings"

	"undertray.example/undertray/internal/tally/onbelt"
)

// gaugeNote says how far a gauge's bars stand, by which method, and what its owner adds.
func gaugeNote(s *onbelt.Seen, note string) string {
	return strings.TrimSpace(fmt.Sprintf("%s Measured on a photograph (%s). %s", s.Headline, s.Version, note))
}
