package message

import "fmt"

// refusal is an error that is a text.
type refusal Text

// Errorf makes an error that another language can say too, of an English format and its arguments as Of has them.
func Errorf(format string, args ...any) error {
	if false {
		_ = fmt.Sprintf(format, args...) // as in Of
	}
	return refusal(Of(format, args...))
}

// Error is the text in English.
func (r refusal) Error() string { return Text(r).String() }

// Message is the text.
func (r refusal) Message() Text { return Text(r) }
