package fleet

import (
	"strings"
	"time"

	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// VisitRules is how much work and money the owner has for visits, and in which
// months there are none. The zero value sets no rule.
type VisitRules struct {
	// Hours is the work that fits in one visit, in hours.
	Hours float64 `yaml:"hours,omitempty" json:"hours,omitempty"`
	// MoneyPerMonth is what may be spent on parts in one month.
	MoneyPerMonth *units.Quantity `yaml:"money_per_month,omitempty" json:"money_per_month,omitempty" of:"amount of money"`
	// HourWorth is what an hour of the owner's time is worth to them.
	HourWorth *units.Quantity `yaml:"hour_worth,omitempty" json:"hour_worth,omitempty" of:"amount of money"`
	// RoadsideMinutes is how long the owner would work beside the road at most;
	// 0 where it is not said, and 1 for not at all.
	RoadsideMinutes float64 `yaml:"roadside_minutes,omitempty" json:"roadside_minutes,omitempty"`
	// NotIn names months without visits, in English: August.
	NotIn []string `yaml:"not_in,omitempty" json:"not_in,omitempty"`
}

// YardRules is what there is in one month for all vehicles of a yard together.
// The zero value sets no rule.
type YardRules struct {
	// HoursPerMonth is the owner's time for work, in hours.
	HoursPerMonth float64 `yaml:"hours_per_month,omitempty" json:"hours_per_month,omitempty"`
	// MoneyPerMonth is what may be spent on parts.
	MoneyPerMonth *units.Quantity `yaml:"money_per_month,omitempty" json:"money_per_month,omitempty" of:"amount of money"`
}

// Any reports whether the vehicles share anything.
func (r YardRules) Any() bool { return r.HoursPerMonth != 0 || r.MoneyPerMonth != nil }

// ParseMonth reads the English name of a month, in any case, or its first
// three letters or more.
func ParseMonth(s string) (time.Month, error) {
	name := strings.ToLower(strings.TrimSpace(s))
	for m := time.January; m <= time.December; m++ {
		if len(name) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), name) {
			return m, nil
		}
	}
	return 0, message.Errorf("%q is not a month: write its name, such as August", s)
}
