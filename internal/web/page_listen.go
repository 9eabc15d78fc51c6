package web

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undertray.example/undertray/internal/belt"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/sound"
	"undertray.example/undertray/units"
)

// maxSound is the largest recording taken, bytes: half a minute in stereo at 96 kHz
// and 24 bits.
const maxSound = 20 << 20

// listenPage asks for a recording.
type listenPage struct {
	Page
	Ask       listenAsk
	Caution   message.Text
	Faults    []fault
	Recorded  []recordedSound // kept before
	NoRunHint message.Text
}

// listenAsk is the form that asks, as filled in.
type listenAsk struct {
	Action   string
	RPM      string
	Runs     []runLink // Here: chosen
	Switches []switchRow
	Other    string // hash of the recording to compare with
	Most     int    // bytes of a file
}

type switchRow struct {
	Name message.Text
	On   bool
}

// recordedSound is a recording in the journal.
type recordedSound struct {
	Day   string       `json:"day"`
	Words message.Text `json:"words"`
	Href  string       `json:"address"`
}

func (s *Server) listenPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.whole(r)
	if err != nil {
		return err
	}
	page := s.layListen(d, r, r.URL.Query(), nil)
	if page.Recorded, err = s.recorded(r.Context(), d); err != nil {
		return err
	}
	return s.answer(w, r, "listen", page, map[string]any{"caution": page.Caution, "recorded": page.Recorded})
}

func (s *Server) layListen(d *desk, r *http.Request, typed url.Values, faults []fault) listenPage {
	page := listenPage{Page: s.page(r, d, "listen", "Listen, %s"), Caution: belt.ListenCaution,
		Faults: faults, Ask: d.listenAsk(typed)}
	if len(d.vehicle.Runs) == 0 {
		page.NoRunHint = "No belt run is on the sheet, so that the pulleys' speeds are not known. Measure one " +
			"first; docs/your-own-run.md says how."
	}
	return page
}

// mostRecorded is how many recordings are listed.
const mostRecorded = 12

// recorded lists the recordings kept before, the newest first.
func (s *Server) recorded(ctx context.Context, d *desk) ([]recordedSound, error) {
	all, err := s.opt.Journal.Attachments(ctx)
	if err != nil {
		return nil, err
	}
	media := map[string]string{}
	for _, a := range all {
		media[a.Hash] = a.Media
	}
	var out []recordedSound
	for _, k := range belt.Recordings(d.entries, func(hash string) string { return media[hash] }) {
		if len(out) < mostRecorded {
			out = append(out, recordedSound{k.Entry.Date.Long(), k.Words(), "/v/" + d.vehicle.ID + "/listen/" + k.Hash})
		}
	}
	return out, nil
}

func (d *desk) listenAsk(typed url.Values) listenAsk {
	ask := listenAsk{Action: "/v/" + d.vehicle.ID + "/listen", RPM: typed.Get("rpm"), Other: typed.Get("other"),
		Most: maxSound}
	for i := range d.vehicle.Runs {
		run := &d.vehicle.Runs[i]
		ask.Runs = append(ask.Runs, runLink{run.ID, run.Name, typed.Get("run") == run.ID})
	}
	for _, name := range belt.Switches {
		ask.Switches = append(ask.Switches, switchRow{name, slices.Contains(typed["with"],
			name.String())})
	}
	return ask
}

// listenTake takes a recording in and leads to its answer. It is held in memory
// for a while; only keeping it puts it into the journal.
func (s *Server) listenTake(w http.ResponseWriter, r *http.Request) error {
	d, err := s.desk(r)
	if err != nil {
		return err
	}
	src, err := takeSound(r)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	if r.PostForm.Get("what") != "" {
		return s.tryTake(w, r, d, src, err)
	}
	if err == nil {
		src, err = asWAV(r.Context(), src)
	}
	if err != nil {
		if wantsJSON(r) {
			return err
		}
		return s.render(w, r, status(err), "listen", s.layListen(d, r, r.PostForm, faults(err)))
	}
	q := url.Values{}
	for _, key := range []string{"rpm", "run", "other", "with"} {
		for _, v := range r.PostForm[key] {
			if v = strings.TrimSpace(v); v != "" {
				q.Add(key, v)
			}
		}
	}
	hash := journal.ContentHash(src)
	s.sounds.put(hash, src)
	http.Redirect(w, r, "/v/"+d.vehicle.ID+"/listen/"+hash+"?"+q.Encode(), http.StatusSeeOther)
	return nil
}

// takeSound reads the recording of the form whole.
func takeSound(r *http.Request) ([]byte, error) {
	return takeFile(r, "sound", maxSound, &fleet.Error{Kind: fleet.Invalid, Where: "recording",
		Msg: "no recording came with the form", Hint: "record one, or choose a sound file"})
}

// asWAV is a recording as it is held: a WAV file taken in whole as it is, the
// best part of a longer one, or what was decoded from another sort of file.
func asWAV(ctx context.Context, src []byte) ([]byte, error) {
	s, err := sound.Of(ctx, "recording", src)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	rec, err := belt.ReadRecording("recording", s)
	if err != nil {
		return nil, err
	}
	if s.Plain && !belt.WasCut(rec) {
		return src, nil
	}
	return rec.WAV(), nil
}

// takeFile reads the file in a field of a form whole, or says that it is missing.
func takeFile(r *http.Request, field string, most int64, missing error) ([]byte, error) {
	files, err := takeFiles(r, most, missing, field)
	if err != nil {
		return nil, err
	}
	return files[0], nil
}

// takeFiles reads the files of a form, the first of which has to be there.
func takeFiles(r *http.Request, most int64, missing error, fields ...string) (files [][]byte, err error) {
	if err := r.ParseMultipartForm(most); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return nil, err
		}
		return nil, missing
	}
	defer r.MultipartForm.RemoveAll()
	for i, field := range fields {
		f, _, err := r.FormFile(field)
		if err != nil && i > 0 {
			continue
		}
		if err != nil {
			return nil, missing
		}
		src, err := io.ReadAll(f)
		f.Close()
		if err != nil {
			return nil, err
		}
		if len(src) == 0 && i == 0 {
			return nil, missing
		}
		files = append(files, src)
	}
	return files, nil
}

// listenQuestion reads how the recording was made.
func listenQuestion(v url.Values) (belt.ListenQuestion, error) {
	q := belt.ListenQuestion{Run: v.Get("run"), On: v["with"]}
	if len(q.On) > len(belt.Switches) {
		q.On = q.On[:len(belt.Switches)]
	}
	rpm, err := quantity("engine speed", v.Get("rpm"), units.Speed, "rpm")
	if err == nil && rpm != nil {
		q.RPM = rpm.Base()
	}
	return q, err
}

// hear reads the recording an address names, and works out what it says.
func (s *Server) hear(r *http.Request, d *desk) (*belt.Heard, error) {
	rec, err := s.recording(r, r.PathValue("hash"))
	if err != nil {
		return nil, err
	}
	q, err := listenQuestion(r.URL.Query())
	if err != nil {
		return nil, err
	}
	return belt.Listen(d.report, rec, q)
}

func (s *Server) recording(r *http.Request, hash string) (belt.Recording, error) {
	src, err := s.sound(r.Context(), hash)
	if err != nil {
		return belt.Recording{}, err
	}
	return belt.ReadRecording("recording", bytes.NewReader(src))
}

// heardSound answers with the recording itself, to be played.
func (s *Server) heardSound(w http.ResponseWriter, r *http.Request) error {
	src, err := s.sound(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(src, []byte("RIFF")) {
		return noSound()
	}
	h := w.Header()
	h.Set("Content-Type", "audio/wav")
	h.Set("Content-Length", strconv.Itoa(len(src)))
	_, err = w.Write(src)
	return quiet(err)
}
