package cli

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

// paper holds what a command was asked to put on paper.
type paper struct {
	file string // "" for none, "-" for standard output
	size string
}

// flags gives a command --pdf and --paper.
func (p *paper) flags(c *cobra.Command) {
	c.Flags().StringVar(&p.file, "pdf", "", "set it as PDF and write it to this file; - for standard output")
	c.Flags().StringVar(&p.size, "paper", "",
		"size of paper: "+strings.Join(print.Sizes(), " or ")+" (default "+string(print.A4)+")")
}

// check finds flags that do not go together, before anything is worked out.
// Other is another form the answer was asked for in, by its flag, or "".
func (p *paper) check(other string) error {
	if _, err := print.ParseSize(p.size); err != nil {
		return oneOf("paper", p.size, print.Sizes()...)
	}
	switch {
	case p.file == "" && p.size != "":
		return &fleet.Error{Kind: fleet.Invalid, Where: "--paper", Msg: "a size of paper says nothing without a PDF",
			Hint: "add --pdf FILE"}
	case p.file != "" && other != "":
		return &fleet.Error{Kind: fleet.Invalid, Where: "--pdf",
			Msg:  message.Of("it cannot be a PDF and %s at once", other),
			Hint: "leave one of them out"}
	}
	return nil
}

// otherForm returns the flag by which another form was asked for.
func (a *app) otherForm(form string) string {
	switch {
	case a.json:
		return "--json"
	case form != "":
		return "--form " + form
	}
	return ""
}

// onPaper sets a sheet and writes it. Nothing is written when setting fails.
func (a *app) onPaper(y *yard.Yard, p paper, set func(p print.Paper, w io.Writer) error) error {
	size, err := print.ParseSize(p.size)
	if err != nil {
		return err
	}
	var pdf bytes.Buffer
	if err := set(print.Paper{Size: size, Units: a.reads(y), Language: a.language}, &pdf); err != nil {
		return err
	}
	if p.file == "-" {
		_, err := a.out.Write(pdf.Bytes())
		return err
	}
	if err := replacePDF(p.file, pdf.Bytes()); err != nil {
		return err
	}
	a.line("Wrote %s.", p.file)
	return nil
}

// replacePDF writes a file whole or not at all. It takes the place of an older
// PDF, and of nothing else.
func replacePDF(name string, pdf []byte) error {
	if err := replaceable(name); err != nil {
		return err
	}
	fault := func(err error) error {
		return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "the file cannot be written",
			Hint: "choose a folder that exists and that you may write to", Err: err}
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".undertray-*.pdf")
	if err != nil {
		return fault(err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(pdf)
	if err = errors.Join(err, f.Chmod(0o644), f.Close()); err != nil {
		return fault(err)
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return fault(err)
	}
	return nil
}

// replaceable reports an error where a file that is no PDF is in the way.
func replaceable(name string) error {
	f, err := os.Open(name)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	head := make([]byte, 5)
	if err == nil {
		defer f.Close()
		_, err = io.ReadFull(f, head)
	}
	if err != nil || string(head) != "%PDF-" {
		return &fleet.Error{Kind: fleet.Unavailable, Where: name, Msg: "something that is no PDF has this name already",
			Hint: "choose another name", Err: err}
	}
	return nil
}

// partsView is the parts of a job in JSON.
type partsView struct {
	Parts []visit.PartView   `json:"parts"`
	Ready []fleet.Consumable `json:"have_ready,omitempty"`
	Bear  []string           `json:"bear_in_mind,omitempty"`
	Cost  string             `json:"cost,omitempty"`
}

// printJob answers with a job, or only its parts, in the form asked for.
func (a *app) printJob(y *yard.Yard, job *visit.Job, parts bool, p paper) error {
	switch {
	case p.file != "" && parts:
		return a.onPaper(y, p, func(p print.Paper, w io.Writer) error { return p.Parts(w, job) })
	case p.file != "":
		return a.onPaper(y, p, func(p print.Paper, w io.Writer) error { return p.Job(w, job) })
	case a.json && parts:
		v := job.View()
		return a.printJSON(partsView{Parts: v.Parts, Ready: job.Consumables, Bear: v.Bear, Cost: v.Cost})
	case a.json:
		return a.printJSON(job.View())
	case parts:
		return a.print(y, func(t *print.Text) { t.Parts(job) })
	}
	return a.print(y, func(t *print.Text) { t.Job(job) })
}
