package journal

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
)

// Result counts what Import found and did.
type Result struct {
	Read        int // entries in the file
	Added       int // of them, those that were not in the journal
	Already     int // of them, those that were there
	Attachments int // attachments added
}

const (
	maxReported = 20                             // faults that Import lists one by one
	maxLine     = MaxAttachment/3*4 + (64 << 10) // bytes: the greatest attachment in base64
	reportEvery = 1000                           // lines between two calls of progress
)

// Import reads JSON Lines as Export writes them, from a file or sender that
// errors call name, and lands all of it or nothing. Entries and attachments
// that are there already are passed over, so that importing twice, or the files
// of two devices one after the other, is harmless. Empty lines, a byte order
// mark and either kind of line end are accepted.
//
// Every line is checked whatever is wrong with those before it. The error joins
// one *fleet.Error per bad line, up to 20 and how many more there are, each with
// name and line number: Invalid or Conflict. A later format stops it at once
// with TooNew, a journal that cannot be written with Unavailable.
//
// Others wait with their writing until Import returns.
func Import(ctx context.Context, s Store, name string, r io.Reader, o ImportOptions) (Result, error) {
	im := &importer{name: name, in: bufio.NewReaderSize(r, 64<<10), ImportOptions: o}
	err := s.Land(ctx, func(l Landing) error { return im.all(ctx, l) })
	if err != nil {
		return Result{Read: im.result.Read}, err
	}
	return im.result, nil
}

// ImportOptions says how Import reports and what it takes. Both may be nil.
type ImportOptions struct {
	// Progress is called now and then, and at the end, with the number of
	// lines read.
	Progress func(lines int)
	// Check returns what forbids to take an entry in: the domain's own rules.
	Check func(*fleet.Entry) error
}

// importer is one run of Import.
type importer struct {
	ImportOptions
	name string
	in   *bufio.Reader

	line   int
	result Result
	errs   []error // at most maxReported
	more   int     // faults beyond
}

// all reads every line. It stops only where going on is of no use.
func (im *importer) all(ctx context.Context, l Landing) error {
	for {
		line, end, err := im.next()
		if err != nil {
			return err
		}
		if end {
			break
		}
		if err := im.land(l, line); err != nil {
			return err
		}
		if im.line%reportEvery == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
			im.report()
		}
	}
	im.report()
	if im.more > 0 {
		im.errs = append(im.errs, &fleet.Error{Kind: fleet.Invalid, Where: im.name,
			Msg: message.Of("and %d more lines are wrong", im.more)})
	}
	return errors.Join(im.errs...)
}

func (im *importer) report() {
	if im.Progress != nil {
		im.Progress(im.line)
	}
}

// textLine is one line of the file, without its end.
type textLine struct {
	text    []byte
	whole   bool // it has an end
	tooLong bool // the text was left out
}

// next reads a line; end says that there is none.
func (im *importer) next() (line textLine, end bool, err error) {
	for {
		part, err := im.in.ReadSlice('\n')
		if len(line.text)+len(part) > maxLine {
			line.text, line.tooLong = nil, true
		}
		if !line.tooLong {
			line.text = append(line.text, part...)
		}
		switch {
		case err == nil:
			line.whole = true
			line.text = bytes.TrimSpace(line.text)
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case errors.Is(err, io.EOF):
			if len(line.text) == 0 && !line.tooLong {
				return line, true, nil
			}
		default:
			return line, false, &fleet.Error{Kind: fleet.Unavailable, Where: im.name,
				Msg: message.Of("it cannot be read beyond line %d: %v", im.line, err), Hint: "try again", Err: err}
		}
		im.line++
		if im.line == 1 {
			line.text = bytes.TrimPrefix(line.text, []byte("\ufeff"))
		}
		return line, false, nil
	}
}

// land checks and adds one line. The error is one that ends the import; a fault
// of the line is noted.
func (im *importer) land(l Landing, line textLine) error {
	if !line.tooLong && len(bytes.TrimSpace(line.text)) == 0 {
		return nil
	}
	err := im.add(l, line)
	switch kind := fleet.KindOf(err); {
	case err == nil:
		return nil
	case kind == fleet.Unavailable || kind == fleet.Internal:
		return err
	case kind == fleet.TooNew:
		return im.located(err)
	case len(im.errs) == maxReported:
		im.more++
	default:
		im.errs = append(im.errs, im.located(err))
	}
	return nil
}

// located puts name and line number in front of an error.
func (im *importer) located(err error) error {
	out := &fleet.Error{Kind: fleet.KindOf(err), Where: fmt.Sprintf("%s:%d", im.name, im.line),
		Msg: message.Is(err), Err: err}
	var e *fleet.Error
	if errors.As(err, &e) {
		out.Hint, out.Err = e.Hint, e.Err // the hint is told once
	}
	return out
}

func (im *importer) add(l Landing, line textLine) error {
	switch {
	case line.tooLong:
		return invalidLine(message.Of("the line is longer than %d MB", maxLine>>20),
			"no entry and no attachment is that long: export it again")
	case !line.whole && !json.Valid(line.text):
		return invalidLine("the file ends in the middle of this line: it was cut off",
			"copy or export it again; to import what is there, take this line off")
	}
	if isAttachment(line.text) {
		return im.addAttachment(l, line.text)
	}
	im.result.Read++
	e, err := fleet.DecodeEntry(line.text)
	if err == nil && im.Check != nil {
		err = im.Check(e)
	}
	if err != nil {
		return err
	}
	added, err := l.Add(e)
	switch {
	case err != nil:
	case added:
		im.result.Added++
	default:
		im.result.Already++
	}
	return err
}

func invalidLine(msg, hint message.Text) error {
	return &fleet.Error{Kind: fleet.Invalid, Msg: msg, Hint: hint}
}

// isAttachment reports whether a line is an attachment. Only a quoted name can
// hold the bytes looked for: within a text the quotes are escaped.
func isAttachment(line []byte) bool {
	if !bytes.Contains(line, []byte(`"attachment"`)) {
		return false
	}
	var peek struct {
		Attachment json.RawMessage `json:"attachment"`
	}
	return json.Unmarshal(line, &peek) == nil && peek.Attachment != nil
}

func (im *importer) addAttachment(l Landing, line []byte) error {
	var in attachmentLine
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.DisallowUnknownFields()
	err := dec.Decode(&in)
	if err == nil && dec.More() {
		err = errors.New("there is more after it")
	}
	if err != nil {
		return invalidLine(message.Of("the attachment cannot be read: %s", err),
			`write it like {"attachment":"<SHA-256>","name":"belt.jpg","media":"image/jpeg","data":"<base64>"}`)
	}
	if !fleet.IsHash(in.Attachment) {
		return invalidLine(message.Of("%.70q is not a content hash", in.Attachment),
			"write the SHA-256 of the content in 64 hexadecimal digits, letters small")
	}
	added, err := l.Attach(&Attachment{AttachmentInfo{Hash: in.Attachment, Name: in.Name, Media: in.Media}, in.Data})
	if added {
		im.result.Attachments++
	}
	return err
}
