package visit

import (
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
)

// inSystems stands in the code of a round that goes system by system.
const inSystems = "by-system"

// Code names the sheet of a round, to type it back by: what was open, how it was
// ordered, the minutes there were, and a check of what stands at which number.
func (r *Round) Code() string {
	parts := slices.Clone(r.by.Open)
	if r.by.BySystem {
		parts = append(parts, inSystems)
	}
	if r.by.Minutes > 0 {
		parts = append(parts, fmt.Sprint(r.by.Minutes))
	}
	sum := sha256.New()
	for _, st := range r.Stages {
		for _, s := range st.Stops {
			fmt.Fprintln(sum, s.N, s.Position.ID)
			for _, c := range s.Checks {
				fmt.Fprintln(sum, c.ID, c.AnswerIDs())
			}
		}
	}
	check := base32.StdEncoding.EncodeToString(sum.Sum(nil))[:4]
	return strings.Join(append(parts, strings.ToLower(check)), "/")
}

// Again lays out the round that a code names. The error is a *fleet.Error: Conflict
// where its numbers stand for something else by now, or of NewRound.
func Again(r *advise.Report, code string) (*Round, error) {
	parts := strings.Split(code, "/")
	var by RoundOptions
	for _, p := range parts[:len(parts)-1] {
		switch minutes, err := strconv.ParseFloat(p, 64); {
		case err == nil && minutes > 0 && minutes <= 600:
			by.Minutes = minutes
		case p == inSystems:
			by.BySystem = true
		default:
			by.Open = append(by.Open, p)
		}
	}
	round, err := NewRound(r, by)
	if err == nil && round.Code() != code {
		err = &fleet.Error{Kind: fleet.Conflict, Where: "sheet",
			Msg: message.Of("the numbers of %q are not those of its sheet as it would be printed now", code),
			Hint: message.Of("check what was typed, or write positions and checks by name as in: "+
				"undertray round %s --form yaml", r.Vehicle.ID)}
	}
	return round, err
}

// ByNumber turns what was typed back by the numbers of the sheet into findings, and into
// notes for what was written in words. What was typed by name stays. Errors are
// *fleet.Error of kind Invalid.
func (r *Round) ByNumber(typed []record.TypedFinding) (found []record.TypedFinding, notes []*fleet.Entry,
	errs []error) {
	for _, row := range typed {
		number, letter := parted(row.Position)
		stop := r.stop(number)
		check := -1
		if stop != nil {
			check = slices.IndexFunc(stop.Checks, func(c CheckItem) bool { return c.Letter == letter })
		}
		switch {
		case row.Position == "sound":
			sound, err := r.sound(row)
			found, errs = append(found, sound...), append(errs, err)
		case number == "":
			found = append(found, row)
		case stop == nil || letter != "" && check < 0:
			errs = append(errs, noStop(row, row.Position))
		case row.Check == "" && letter == "":
			notes = append(notes, &fleet.Entry{Type: fleet.TypeNote,
				Note: &fleet.Note{Position: stop.Position.ID, Text: row.Answer}})
		default:
			row.Position = stop.Position.ID
			if check >= 0 {
				row.Check, row.Answer = stop.Checks[check].ID, stop.Checks[check].Numbered(row.Answer)
			}
			found = append(found, row)
		}
	}
	return found, notes, slices.DeleteFunc(errs, func(err error) bool { return err == nil })
}

// sound makes findings of the numbers of stops that were sound at a glance: "1-14, 16".
func (r *Round) sound(row record.TypedFinding) (out []record.TypedFinding, _ error) {
	for _, part := range strings.FieldsFunc(row.Answer, func(c rune) bool { return c == ' ' || c == ',' }) {
		first, last, ok := strings.Cut(part, "-")
		if !ok {
			last = first
		}
		from, to := r.stop(first), r.stop(last)
		if from == nil || to == nil || from.N > to.N {
			return nil, noStop(row, part)
		}
		for n := from.N; n <= to.N; n++ {
			stop := r.stop(strconv.Itoa(n))
			if stop.Glance == nil {
				return nil, noStop(row, strconv.Itoa(n))
			}
			out = append(out, record.TypedFinding{Where: row.Where, Position: stop.Position.ID, Check: stop.Glance.ID,
				Answer: stop.Glance.Answers[0].ID})
		}
	}
	return out, nil
}

func noStop(row record.TypedFinding, typed string) error {
	return &fleet.Error{Kind: fleet.Invalid, Where: row.Where,
		Msg:  message.Of("the sheet has no %q of that sort", typed),
		Hint: "write the number at the left of its line; stops in a row as 3-9"}
}

// stop is the one with a number, or nil.
func (r *Round) stop(number string) *Stop {
	for i := range r.Stages {
		for k := range r.Stages[i].Stops {
			if s := &r.Stages[i].Stops[k]; strconv.Itoa(s.N) == number {
				return s
			}
		}
	}
	return nil
}

// parted parts the code of a check, "21a", into the stop's number and its letter; the
// number is "" where it begins with none.
func parted(code string) (number, letter string) {
	letter = strings.TrimLeft(code, "0123456789")
	return strings.TrimSuffix(code, letter), letter
}

// Numbered turns the number of an answer into its id; anything else stays.
func (c CheckItem) Numbered(typed string) string {
	if n, err := strconv.Atoi(typed); err == nil && n > 0 && n <= len(c.Answers) {
		return c.Answers[n-1].ID
	}
	return typed
}
