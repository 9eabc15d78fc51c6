package web

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/ahead"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/judge"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/record"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/undone"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/visit/finish"
	"undertray.example/undertray/units"
)

// journalPage lists the entries as they were recorded, in their batches.
type journalPage struct {
	Page
	Headline message.Text
	Batches  []batchRow
	Last     string // the batch that can be undone first, or ""
	Older    string // id to go on from, or ""
}

type batchRow struct {
	ID, By   string
	Recorded message.Text
	Entries  []entryRow
	Sound    []entryRow // of them, folded: see fold
	Standing int
	// Changed is what keeping it changed, where it ends a job sheet.
	Changed *finish.ChangesView `json:",omitempty"`
}

// fold puts the looks that found nothing apart.
func (b *batchRow) fold() {
	all := b.Entries
	b.Entries = nil
	for _, e := range all {
		if e.Sound {
			b.Sound = append(b.Sound, e)
		} else {
			b.Entries = append(b.Entries, e)
		}
	}
}

type entryRow struct {
	ID, Odo, Position    string
	Day, Words           message.Text
	What                 fleet.EntryType
	Withdrawn, Corrected bool
	Correction           bool // it is itself a correction
	Sound                bool // a look that stands as it was kept, and found nothing
}

// pageOfRows is how many heads and rows one page shows at least, where there are so
// many: what landed together is not parted, and what is folded is not counted.
const pageOfRows = 40

func (s *Server) journalPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.whole(r)
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, d.entries)
	}
	page := journalPage{Page: s.page(r, d, "journal", "Journal of %s")}
	batches := d.batches()
	from := 0
	if before := r.URL.Query().Get("before"); before != "" {
		from = max(0, slices.IndexFunc(batches, func(b batchRow) bool { return b.ID == before }))
	}
	if i := slices.IndexFunc(batches, func(b batchRow) bool { return b.Standing > 0 }); i >= 0 {
		page.Last = batches[i].ID
	}
	to := from
	for n := 0; to < len(batches) && n < pageOfRows; to++ {
		batches[to].fold()
		n += 1 + len(batches[to].Entries)
	}
	page.Batches = batches[from:to]
	if to < len(batches) {
		page.Older = batches[to].ID
	}
	page.Headline = "Nothing is written down yet."
	if len(batches) > 0 {
		page.Headline = message.Of("Last written down on %s; %s, none ever taken out.", batches[0].Recorded,
			told.Several(len(d.entries), "entry", "entries"))
	}
	return s.render(w, r, http.StatusOK, "journal", page)
}

// batches lists a vehicle's entries newest first, those that landed together
// under one head.
func (d *desk) batches() []batchRow {
	words := d.entryWords()
	standing := map[string]bool{}
	for _, e := range fleet.Standing(d.entries) {
		standing[e.ID] = true
	}
	fixed := map[string]bool{}
	for _, e := range d.entries {
		if e.Correction != nil {
			fixed[e.Correction.Of] = true
		}
	}
	var out []batchRow
	at := map[string]int{}
	for _, e := range slices.Backward(d.entries) {
		key := e.Batch
		if key == "" {
			key = e.ID
		}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			at := e.Recorded.Local()
			out = append(out, batchRow{ID: key, By: e.By,
				Recorded: message.Of("%s, %s", told.Long(civil.Of(at)), at.Format("15:04"))})
		}
		row := words[e.ID]
		row.Withdrawn, row.Corrected = !standing[e.ID] && e.Correction == nil, standing[e.ID] && fixed[e.ID]
		row.Sound = row.Sound && standing[e.ID] && !row.Corrected
		out[i].Entries = append(out[i].Entries, row)
		if standing[e.ID] {
			out[i].Standing++
		}
	}
	return out
}

// entryWords says every entry in words, the withdrawn ones too. Corrected ones
// are given as they stand now.
func (d *desk) entryWords() map[string]entryRow {
	now := map[string]*fleet.Entry{}
	for _, e := range fleet.Standing(d.entries) {
		now[e.ID] = e
	}
	all := make([]*fleet.Entry, 0, len(d.entries))
	out := map[string]entryRow{}
	for _, e := range d.entries {
		switch {
		case e.Correction != nil:
			out[e.ID] = entryRow{ID: e.ID, Day: told.Short(e.Date), What: fleet.TypeCorrection,
				Words: d.correctionWords(e), Correction: true}
		case now[e.ID] != nil:
			all = append(all, now[e.ID])
		default:
			all = append(all, e)
		}
	}
	state := *d.report.State
	state.Record = all
	rep := *d.report
	rep.State = &state
	for _, l := range advise.History(&rep, "") {
		line := d.recordLine(l)
		out[l.Entry] = entryRow{ID: l.Entry, Day: line.Day, Odo: line.Odo, What: fleet.EntryType(l.What),
			Position: l.Position, Words: l.Words, Sound: l.Sound}
	}
	return out
}

// correctionWords says what an entry takes back or changes, of which day.
func (d *desk) correctionWords(e *fleet.Entry) message.Text {
	s := message.Text("taken back")
	if !e.Correction.Withdraw {
		s = "put right"
	}
	if i := slices.IndexFunc(d.entries, func(o *fleet.Entry) bool { return o.ID == e.Correction.Of }); i >= 0 {
		s = message.Of("%s: what was written down of %s", s, told.Long(d.entries[i].Date))
	}
	if e.Correction.Why != "" {
		s = message.Of("%s: %s", s, e.Correction.Why)
	}
	return s
}

// entryPage shows one entry and takes its correction.
type entryPage struct {
	Page
	Entry    entryRow
	Found    *checkRow
	Date     string
	Odometer string
	HasOdo   bool
	Holds    bool   // it was not withdrawn
	InForce  bool   // a correction that can be taken back
	Of       string // the entry it corrects
	Batch    string
	Hands    []handForm // what the part was that it took off
	Picture  *pictureRow
	Marking  url.Values // what was typed of a mark, laid open; nil: nothing
	Add      string     // address at which a picture of it is taken
	Count    string     // address at which what was counted on a photograph is opened
	Faults   []fault
}

func (s *Server) entryPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.whole(r)
	if err != nil {
		return err
	}
	page, err := s.layEntry(d, r)
	if err != nil {
		return err
	}
	return s.answer(w, r, "entry", page, page.Entry)
}

func (s *Server) layEntry(d *desk, r *http.Request) (*entryPage, error) {
	id := r.PathValue("entry")
	row, ok := d.entryWords()[id]
	if !ok {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no entry %q", d.vehicle.Name, id),
			Hint: "look it up in the journal"}
	}
	page := &entryPage{Page: s.page(r, d, "journal", "An entry of %s"), Entry: row, Batch: s.opt.NewID()}
	e := d.standing(id)
	if e == nil {
		page.InForce, page.Of = fleet.InForce(d.entries, id), d.corrected(id)
		return page, nil
	}
	if r.Method == http.MethodPost {
		page.Batch = r.PostForm.Get("batch")
	}
	page.Holds, page.Date = true, e.Date.String()
	if e.Odometer != nil {
		page.HasOdo, page.Odometer = true, e.Odometer.String()
	}
	if e.Found != nil {
		page.Found = d.foundCheck(e.Found)
	}
	page.Hands = s.hands(d, r, e.ID)
	page.Count = d.countOf(e)
	switch {
	case e.Picture != nil:
		shot := d.pictureRow(e)
		page.Picture = &shot
	case e.Position() != "":
		q := url.Values{"position": {e.Position()}, "date": {e.Date.String()}}
		if e.Found != nil {
			q.Set("check", e.Found.Check)
		}
		page.Add = "/v/" + d.vehicle.ID + "/pictures?" + q.Encode()
	}
	return page, nil
}

// markShape is a shape to choose, and markPoint one of four numbers that place it.
type (
	markShape struct {
		ID     string
		Name   message.Text
		Picked bool
	}
	markPoint struct {
		ID    string
		Name  message.Text
		Value string
		Most  int
	}
)

// Shapes are those that a mark can have.
func (p entryPage) Shapes() []markShape {
	out := []markShape{{ID: string(fleet.MarkRing), Name: "a ring around it"}, {ID: string(fleet.MarkArrow),
		Name: "an arrow to it"}, {ID: string(fleet.MarkLength), Name: "a length that is known"}}
	for i := range out {
		out[i].Picked = out[i].ID == cmp.Or(p.Marking.Get("shape"), out[0].ID)
	}
	return out
}

// Points are where a mark stands: as it was typed, else in the middle.
func (p entryPage) Points() []markPoint {
	out := []markPoint{{"x1", "from the left", "40", 100}, {"y1", "from above", "30", 100 * fleet.MaxAcross},
		{"x2", "to, from the left", "60", 100}, {"y2", "to, from above", "45", 100 * fleet.MaxAcross}}
	for i := range out {
		out[i].Value = cmp.Or(p.Marking.Get(out[i].ID), out[i].Value)
	}
	return out
}

// foundCheck is the question a finding answers, with the answer given, or nil
// where the catalogue no longer has it.
func (d *desk) foundCheck(f *fleet.Found) *checkRow {
	p := d.vehicle.Once(f.Position)
	if p == nil {
		return nil
	}
	k := d.catalogue().Kind(p.Kind)
	if k == nil || k.Check(f.Check) == nil {
		return nil
	}
	row := checkOf(k, f.Position, visit.CheckItem{Check: k.Check(f.Check)}, nil)
	row.Field, row.Typed = "answer", f.Answer
	if f.Value != nil {
		row.Typed = f.Value.String()
	}
	for i := range row.Answers {
		row.Answers[i].Chosen = row.Answers[i].ID == f.Answer
	}
	return &row
}

func (d *desk) standing(id string) *fleet.Entry {
	for _, e := range fleet.Standing(d.entries) {
		if e.ID == id {
			return e
		}
	}
	return nil
}

// corrected returns the id of the entry that a correction is about, or "".
func (d *desk) corrected(id string) string {
	for _, e := range d.entries {
		if e.ID == id && e.Correction != nil {
			return e.Correction.Of
		}
	}
	return ""
}

// entryCorrect withdraws an entry or puts another in its place.
func (s *Server) entryCorrect(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	page, err := s.layEntry(d, r)
	if err != nil {
		return err
	}
	if err = s.correct(d, r); err == nil {
		to := "/journal/" + r.PathValue("entry")
		if p := d.vehicle.Position(r.PostForm.Get("settles")); p != nil {
			to = "/p/" + p.ID
		}
		http.Redirect(w, r, "/v/"+d.vehicle.ID+to, http.StatusSeeOther)
		return nil
	}
	if k := fleet.KindOf(err); k == fleet.Internal || k == fleet.NotFound || wantsJSON(r) {
		return err
	}
	page.Faults = faults(err)
	return s.render(w, r, status(err), "entry", page)
}

func (s *Server) correct(d *desk, r *http.Request) error {
	id, f := r.PathValue("entry"), r.PostForm
	e := d.standing(id)
	withdraw := f.Get("do") == "withdraw"
	rec, err := s.formRecorder(r, d)
	if err != nil {
		return err
	}
	if e == nil && !(withdraw && fleet.InForce(d.entries, id)) {
		if withdraw && s.has(r, d, rec.Form) {
			return nil // the form was sent before, and withdraws nothing twice
		}
		return &fleet.Error{Kind: fleet.Conflict, Msg: "that entry no longer stands", Hint: "record the fact anew"}
	}
	if withdraw {
		_, err := rec.Withdraw(r.Context(), d.vehicle, id, f.Get("why"))
		return err
	}
	instead := *e
	if instead.Date, err = parseDay("date", f.Get("date")); err != nil {
		return err
	}
	instead.Sure = instead.Sure || f.Get("sure") != ""
	if e.Odometer != nil {
		var q *units.Quantity
		if q, err = distance("odometer", f.Get("odometer"), d.vehicle.Reader); err != nil {
			return err
		}
		instead.Odometer = q
	}
	if answer := f.Get("answer"); e.Found != nil && answer != "" {
		got, errs := record.Findings(d.catalogue(), d.vehicle,
			[]record.TypedFinding{{Where: "answer", Position: e.Found.Position, Check: e.Found.Check, Answer: answer,
				Note: e.Found.Note}})
		if len(errs) > 0 {
			return errs[0]
		}
		got[0].Found.Attachments, got[0].Found.Off = e.Found.Attachments, e.Found.Off
		got[0].Found.Counted = e.Found.CountedAs(got[0].Found.Value)
		instead.Found = got[0].Found
	}
	_, err = rec.Replace(r.Context(), d.vehicle, id, &instead, f.Get("why"))
	return err
}

// batchPage says what has been recorded together and what follows from it.
type batchPage struct {
	Page
	Headline message.Text
	Batch    batchRow
	Touched  []need
	Settle   []settling
	Overall  message.Text
	After    string // the batch that the form landed in when it was sent first, or ""
	Undo     string // batch of the form that takes it back
	Hands    []handForm
	InHand   bool // a job sheet is
}

func (s *Server) batchPage(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("batch")
	d, err := s.ofBatch(r, id, r.URL.Query().Get("after"))
	if err != nil {
		return err
	}
	of := slices.DeleteFunc(slices.Clone(d.entries), func(e *fleet.Entry) bool { return e.Batch != id })
	ends := finish.Ends(of)
	if ends {
		if err := s.readAll(r.Context(), d); err != nil {
			return err
		}
	}
	batches := d.batches()
	i := slices.IndexFunc(batches, func(b batchRow) bool { return b.ID == id })
	if i < 0 {
		return &fleet.Error{Kind: fleet.NotFound, Msg: message.Of("%s has no batch %q", d.vehicle.Name, id),
			Hint: "look it up in the journal"}
	}
	page := batchPage{Page: s.page(r, d, "journal", "Recorded for %s"), Batch: batches[i],
		Overall: message.Joined(d.report.Sentences(d.vehicle.Reader), " "), Undo: s.opt.NewID()}
	stored := slices.DeleteFunc(slices.Clone(d.report.State.Record), func(e *fleet.Entry) bool { return e.Batch != id })
	if ends && page.Batch.Standing > 0 {
		changes := finish.ChangesOf(d.report, id)
		view := changes.View(d.vehicle.Reader)
		page.Batch.Changed = &view
	} else if said := ahead.ToldWords(d.report, stored); said != "" {
		page.Overall = message.Joined([]message.Text{page.Overall, said}, " ")
	}
	page.InHand = len(undone.InHand(d.report.State)) > 0
	if after := r.URL.Query().Get("after"); s.has(r, d, after) {
		page.After = after
	}
	var ids []string
	for i := range page.Batch.Entries {
		ids = append(ids, page.Batch.Entries[i].ID)
	}
	page.Hands = s.hands(d, r, ids...)
	n := len(page.Batch.Entries)
	page.Headline = message.Of("%d entries are recorded for %s.", n, d.vehicle.Name)
	if n == 1 {
		page.Headline = message.Of("One entry is recorded for %s.", d.vehicle.Name)
	}
	if ends {
		page.Headline = finish.KeptWords(d.vehicle.Name, of)
	}
	if page.Batch.Standing == 0 {
		page.Headline = "Nothing of this batch stands any longer."
	}
	for _, j := range d.touched(id) {
		page.Touched = append(page.Touched, d.need(j, nil, nil))
		page.Settle = append(page.Settle, s.settlings(r.Context(), d, j)...)
	}
	return s.answer(w, r, "batch", page, page.Batch)
}

// has reports whether a batch is in the vehicle's journal; an error of the
// journal is told by what is asked of it next.
func (s *Server) has(r *http.Request, d *desk, batch string) bool {
	entries, err := s.opt.Journal.OfForm(r.Context(), batch)
	return err == nil && slices.ContainsFunc(entries, func(e *fleet.Entry) bool { return e.Vehicle == d.vehicle.ID })
}

// touched returns the judgements of the positions a batch is about.
func (d *desk) touched(batch string) []*judge.Judgement {
	var out []*judge.Judgement
	for _, e := range fleet.Standing(d.entries) {
		j := d.report.Judgement(e.Position())
		if e.Batch == batch && j != nil && !slices.Contains(out, j) {
			out = append(out, j)
		}
	}
	slices.SortStableFunc(out, func(a, b *judge.Judgement) int { return int(b.Verdict) - int(a.Verdict) })
	return out
}

func (s *Server) batchUndo(w http.ResponseWriter, r *http.Request) error {
	d, err := s.postedWhole(r)
	if err != nil {
		return err
	}
	rec, err := s.formRecorder(r, d)
	if err != nil {
		return err
	}
	if _, err := rec.UndoBatch(r.Context(), d.vehicle, r.PathValue("batch"), r.PostForm.Get("why")); err != nil {
		return err
	}
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/journal", http.StatusSeeOther)
	return nil
}
