// Package why holds the reasons of a plan as data: what makes a task due, why it
// stands at its visit, and what had to give for a plan to exist. Package plan
// finds them; the files words_reason.go and view_reason.go phrase them.
package why
