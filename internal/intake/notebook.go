package intake

import (
	"regexp"
	"slices"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/catalogue"
	"undertray.example/undertray/internal/cells"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/units"
)

// Notebook is a past that was pasted or read from a table, line by line, as far as it can be
// read. Nothing of it is kept by reading it.
type Notebook struct {
	Lines []Past `json:"lines"`
	// DayFirst says how dates such as 3/4/2019 were read, and Decided by which line, 0 where no
	// line can be read in one way only and nobody said: those dates are left open then.
	DayFirst bool `json:"day_first,omitzero"`
	Decided  int  `json:"decided_by_line,omitzero"`
	AskOrder bool `json:"ask_order,omitzero"` // some dates can be read both ways, and nothing decides
	AskUnit  bool `json:"ask_unit,omitzero"`  // some distances have no unit, and nobody said which
	Fuel     bool `json:"fuel,omitzero"`      // it logs fuel: of that only the readings are taken
}

// Past is one line of a notebook.
type Past struct {
	No       int             `json:"line"`
	Text     string          `json:"text"`           // as it was typed, its columns joined by a blank
	Date     civil.Date      `json:"date,omitzero"`  // zero: none can be read
	About    bool            `json:"about,omitzero"` // only the month or the year is said; Date lies in its middle
	Odometer *units.Quantity `json:"odometer,omitzero"`
	Cost     *units.Quantity `json:"cost,omitzero"`
	Words    string          `json:"words,omitzero"` // what is said beside date, odometer and cost
	Parts    []Named         `json:"parts,omitzero"`
	Doubts   []message.Text  `json:"doubts,omitzero"` // what the owner settles before it is kept
}

// Named is a part that a line names.
type Named struct {
	Say       string   `json:"say,omitzero"`       // in the line's words
	Positions []string `json:"positions,omitzero"` // of the vehicle that it may be, in the sheet's order
	All       bool     `json:"all,omitzero"`       // it names all of them
	Did       string   `json:"did,omitzero"`       // catalogue.DidChange, DidLook, DidWant, or "" where it is not said
}

// Habits are what cannot be read from a notebook and has to be said.
type Habits struct {
	DayFirst *bool      // nil: as the text shows, else asked
	Distance string     // unit of a distance without one, "km" or "mi"; "": asked
	Currency string     // of an amount without one
	Today    civil.Date // no day after it can be meant
}

// mostPast is how many lines are read at once.
const mostPast = 2000

// ReadNotebook reads free lines or a table with commas, semicolons or tabs, with or without a
// heading. Its errors are of kind Invalid: no text, too much of it, neither UTF-8 nor UTF-16. What a line leaves
// open stands in its doubts.
func ReadNotebook(name string, src []byte, v *fleet.Vehicle, c *catalogue.Catalogue, h Habits) (*Notebook, error) {
	if len(src) > MaxSize {
		return nil, fault(name, 0, message.Of("the text is larger than %d bytes", MaxSize), "paste it in pieces")
	}
	text, err := cells.Text(src)
	if err != nil {
		return nil, fault(name, 0, message.Is(err), "save the table as CSV in UTF-8, or copy its text")
	}
	rows, head := table(text, v.Counts == fleet.ByHours)
	if len(rows) == 0 {
		return nil, fault(name, 0, "there is no line to read", "paste one line a job: date, odometer, what was done")
	}
	if len(rows) > mostPast {
		return nil, fault(name, mostPast+1, message.Of("there are %d lines", len(rows)),
			message.Of("paste at most %d at once", mostPast))
	}
	n := &Notebook{Fuel: head != nil && head.fuel}
	n.order(rows, head, h)
	r := reader{v: v, c: c, h: h, n: n, head: head}
	for i := range rows {
		r.line(&rows[i])
	}
	r.rising()
	return n, nil
}

// Certain are the facts of the lines without a doubt.
func (n *Notebook) Certain(today civil.Date) []*fleet.Entry {
	var out []*fleet.Entry
	for i := range n.Lines {
		p := &n.Lines[i]
		if len(p.Doubts) > 0 {
			continue
		}
		out = append(out, p.Entries(p.Fitted(), today)...)
	}
	return out
}

// Open is the notebook without the lines that are certain.
func (n *Notebook) Open() *Notebook {
	out := *n
	out.Lines = slices.DeleteFunc(slices.Clone(n.Lines), func(p Past) bool { return len(p.Doubts) == 0 })
	return &out
}

// row is a line in its cells; free text has one.
type row struct {
	no    int
	cells []string
}

// column is what a cell of a table holds.
type column int

const (
	colWords column = iota
	colDate
	colOdometer
	colCost
	colFuel
	colUnit // of the column before it
	colIgnored
)

// heading says what each column holds, with the unit that its name gives; nil for free text.
type heading struct {
	cols  []column
	units []string
	fuel  bool
}

// headings are the words that name a column (common practice).
var headings = []struct {
	col  column
	says *regexp.Regexp
}{
	{colUnit, regexp.MustCompile(`(?i)^(.* )?(units?|currency)$`)},
	{colDate, regexp.MustCompile(`(?i)^(date|day|when|done on)\b`)},
	{colOdometer, regexp.MustCompile(`(?i)^(odo\w*|mileage|miles|mi|kms?|kilomet\w+|reading|distance|clock)\b`)},
	{colCost, regexp.MustCompile(`(?i)^(cost|price|paid|amount|total|spent|[£$€])`)},
	{colFuel, regexp.MustCompile(`(?i)^(lit\w+|gal\w*|fuel|mpg|l/100.*|economy|full\??)( .*|\(.*)?$`)},
	{colIgnored, regexp.MustCompile(`(?i)^(no\.?|#|id|entry|batch|sound|by)$`)},
	{colWords, regexp.MustCompile(`(?i)^(work|job|what|item|part|desc\w*|details?|notes?|remarks?|service|done|shop|` +
		`garage|comments?)\b`)},
}

var (
	inMiles = regexp.MustCompile(`(?i)\b(mi|miles|mileage)\b`)
	inHours = regexp.MustCompile(`(?i)^(h|hrs|hours?|hour meter|meter)\b`)
	inKm    = regexp.MustCompile(`(?i)\b(km|kms|kilomet\w+)\b`)
)

// table splits a text into rows. It is a table where every line has the same number of cells by
// one separator, or where its first line names columns; with hours, a column of them is of
// readings.
func table(text string, hours bool) ([]row, *heading) {
	var free []row
	for i, line := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		if strings.TrimSpace(line) != "" {
			free = append(free, row{i + 1, []string{strings.TrimRight(line, " \t\r")}})
		}
	}
	for _, sep := range cells.Separators {
		read, _ := cells.Rows(text, sep, true)
		var rows []row
		for _, r := range read {
			rows = append(rows, row{r.Line, r.Cells})
		}
		if len(rows) == 0 || len(rows[0].cells) < 2 {
			continue
		}
		if h := named(rows[0].cells, hours); h != nil {
			return rows[1:], h
		}
		even := !slices.ContainsFunc(rows, func(r row) bool { return len(r.cells) != len(rows[0].cells) })
		if even && len(rows) > 1 && sep != ',' || even && len(rows) > 2 && len(rows[0].cells) > 2 {
			if h := guessed(rows); h != nil {
				return rows, h
			}
		}
	}
	return free, nil
}

// named reads a heading line, nil where it names no date and nothing else.
func named(cells []string, hours bool) *heading {
	h := &heading{}
	known := map[column]int{}
	for _, cell := range cells {
		cell = strings.TrimSpace(cell)
		col, unit := colWords, ""
		for _, k := range headings {
			if k.says.MatchString(cell) {
				col = k.col
				known[col]++
				break
			}
		}
		if hours && col == colWords && inHours.MatchString(cell) {
			col = colOdometer
			known[col]++
		}
		switch {
		case inMiles.MatchString(cell):
			unit = "mi"
		case inKm.MatchString(cell):
			unit = "km"
		}
		if col == colCost {
			unit = currencyIn(cell)
		}
		h.cols, h.units = append(h.cols, col), append(h.units, unit)
	}
	h.fuel = known[colFuel] > 0 && known[colWords] == 0
	if known[colDate] != 1 || len(known) < 2 || known[colOdometer] > 1 || known[colCost] > 1 {
		return nil
	}
	return h
}

// guessed says what the columns of a table without a heading hold, by what stands in most of
// their cells, nil where none holds dates.
func guessed(rows []row) *heading {
	h := &heading{}
	dates := 0
	for j := range rows[0].cells {
		var date, far, money, filled int
		for _, r := range rows {
			cell := strings.TrimSpace(r.cells[j])
			if cell == "" {
				continue
			}
			filled++
			if at, _ := findDate(cell); at != nil && at[0] == 0 && at[1] == len(cell) {
				date++
			} else if cents.MatchString(cell) || amount.FindString(cell) == cell {
				money++
			} else if bareFar.MatchString(cell) {
				far++
			}
		}
		col := colWords
		switch {
		case filled == 0:
			col = colIgnored
		case 2*date > filled && dates == 0:
			col = colDate
			dates++
		case 2*far > filled && !slices.Contains(h.cols, colOdometer):
			col = colOdometer
		case 2*money > filled && !slices.Contains(h.cols, colCost):
			col = colCost
		}
		h.cols, h.units = append(h.cols, col), append(h.units, "")
	}
	if dates == 0 {
		return nil
	}
	return h
}
