package condition

import (
	"errors"
	"fmt"
	"math"
)

// Errors that say why the data give no answer. Use errors.Is.
var (
	// ErrImpossible: the kind gives no chance at all to what a history tells, for instance a grade
	// that no stage ever shows, or a failure where nothing can fail.
	ErrImpossible = errors.New("condition: what the history tells cannot happen to this kind of part: " +
		"look at its grades, its rates and the order of its looks")

	// ErrNotConverged: the search for the best parameters did not settle.
	ErrNotConverged = errors.New("condition: the search for the best parameters did not settle: " +
		"fewer free parameters or firmer priors are needed")
)

// DataError is a value that cannot be right.
type DataError struct {
	Where string  // which stage, sort of look, history or look; empty for a parameter
	Field string  // name of the field or parameter
	Value float64 // what was given
	Want  string  // what would be right
}

// Error names the place, the field, the value and what would be right.
func (e *DataError) Error() string {
	where := e.Where
	if where != "" {
		where += ": "
	}
	return fmt.Sprintf("condition: %s%s is %v: want %s", where, e.Field, e.Value, e.Want)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// bad returns an error unless ok.
func bad(ok bool, where, field string, value float64, want string) error {
	if ok {
		return nil
	}
	return &DataError{where, field, value, want}
}

// placed says where an error stands.
func placed(err error, format string, args ...any) error {
	var data *DataError
	if err == nil || !errors.As(err, &data) {
		return err
	}
	where := fmt.Sprintf(format, args...)
	if data.Where != "" {
		where += ", " + data.Where
	}
	return &DataError{where, data.Field, data.Value, data.Want}
}

// first returns the first error that is not nil.
func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
