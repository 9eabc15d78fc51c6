package lifetime

import (
	"errors"
	"fmt"
	"math"
)

// Errors that say why the data give no answer. Use errors.Is.
var (
	// ErrNoFailures: nothing failed, so the likelihood rises without bound as the life grows. A
	// [Prior] makes such data usable, see [Prior.Update].
	ErrNoFailures = errors.New("lifetime: no failure among the observations: a maximum-likelihood fit needs at " +
		"least one; use a prior instead")

	// ErrUnbounded: the likelihood has no maximum at a finite shape, for instance because every
	// failure is at one age and nothing ran longer.
	ErrUnbounded = errors.New("lifetime: the observations do not bound the shape: more failures at different ages " +
		"are needed, or a prior")

	// ErrNotConverged: the search for the maximum ran out of steps.
	ErrNotConverged = errors.New("lifetime: the search for the maximum of the likelihood did not settle")

	// ErrSingular: covariates that do not vary, or vary together.
	ErrSingular = errors.New("lifetime: a covariate does not vary, or varies in step with another one: leave it out")
)

// DataError is a value that cannot be right.
type DataError struct {
	Row   int     // index of the observation, -1 when the value is a parameter
	Field string  // name of the field or parameter
	Value float64 // what was given
	Want  string  // what would be right
}

// Error names the row, the field, the value and what would be right.
func (e *DataError) Error() string {
	if e.Row < 0 {
		return fmt.Sprintf("lifetime: %s is %v: want %s", e.Field, e.Value, e.Want)
	}
	return fmt.Sprintf("lifetime: observation %d: %s is %v: want %s", e.Row, e.Field, e.Value, e.Want)
}

func parameter(field string, value float64, want string) error {
	return &DataError{Row: -1, Field: field, Value: value, Want: want}
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func positive(field string, value float64) error {
	if !finite(value) || value <= 0 {
		return parameter(field, value, "a finite number above 0")
	}
	return nil
}

func notNegative(field string, value float64) error {
	if !finite(value) || value < 0 {
		return parameter(field, value, "a finite number, 0 or above")
	}
	return nil
}

func fraction(field string, value float64) error {
	if !(value > 0 && value < 1) {
		return parameter(field, value, "a fraction between 0 and 1")
	}
	return nil
}

// firstError returns the first error that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
