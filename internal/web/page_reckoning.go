package web

import (
	"context"
	"html/template"
	"net/http"
	"strings"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/draw"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/reckon"
	"undertray.example/undertray/internal/say/told"
	"undertray.example/undertray/internal/yard"
)

// reckoningPage tells what was forecast and what happened.
type reckoningPage struct {
	Page
	Headline, More message.Text
	Among          message.Text // of how many vehicles it is, or ""
	Course         *drawing
	Bins           []binRow
	Wear           []message.Text
	Paid, Idle     []reckon.KindLooks
	Questions      []handQuestion
	MoreQuestions  message.Text
	From, To, Only string
}

type binRow struct{ Said, Expected, Came, Share, Told message.Text }

type handQuestion struct {
	Ask message.Text
	To  string
}

// questionsShown is how many parts are asked about at once.
const questionsShown = 10

func (s *Server) reckoningPage(w http.ResponseWriter, r *http.Request) error {
	y, err := s.yards.open()
	if err != nil {
		return err
	}
	period, err := s.period(r)
	if err != nil {
		return err
	}
	head, err := s.opt.Journal.Head(r.Context())
	if err != nil {
		return err
	}
	made, err := s.reckoned.get(r.Context(), s.stamp(r, int(head.Entries)),
		func(ctx context.Context) (*reckon.Reckoning, error) {
			subjects, err := s.subjects(ctx, y, chosen(r))
			if err != nil {
				return nil, err
			}
			return reckon.Of(ctx, y.Catalogue, subjects, period, s.opt.Journal)
		})
	if err != nil {
		return err
	}
	if wantsJSON(r) {
		return s.writeJSON(w, r, http.StatusOK, made.View())
	}
	page := reckoningPage{Page: s.base(r, "The reckoning"), From: period.From.String(), To: period.To.String(),
		Only: strings.Join(chosen(r), ",")}
	page.fill(made, y, s.inLanguage(r))
	return s.render(w, r, http.StatusOK, "reckoning", page)
}

func (s *Server) period(r *http.Request) (p reckon.Period, err error) {
	q, on := r.URL.Query(), civil.Date{}
	if on, err = s.day(r); err != nil {
		return p, err
	}
	var days [2]civil.Date
	for i, field := range []string{"from", "to"} {
		if typed := q.Get(field); typed != "" {
			if days[i], err = parseDay(field, typed); err != nil {
				return p, err
			}
		}
	}
	return reckon.FromTo(days[0], days[1], on)
}

// subjects are the vehicles that are named, or the first that others learn from, with
// all that is recorded about each.
func (s *Server) subjects(ctx context.Context, y *yard.Yard, ids []string) ([]reckon.Subject, error) {
	if len(ids) == 0 {
		ids = s.worked.Sample(y.IDs())
	}
	return reckon.Gather(ids, y.Vehicle, func(id string) (reckon.Entries, error) {
		return s.opt.Journal.OfVehicle(ctx, id)
	})
}

func (p *reckoningPage) fill(r *reckon.Reckoning, y *yard.Yard, in *message.Language) {
	words := r.Words()
	p.Headline, p.More, p.Among, p.Wear = told.Head(words), told.Rest(words), r.AmongWords(len(y.IDs())), r.WearWords()
	for i := range r.Bins {
		b := &r.Bins[i]
		p.Bins = append(p.Bins, binRow{b.SaidWords().Capital(), b.ExpectedWords(), b.CameWords(),
			b.ShareWords(), b.Told})
	}
	p.Paid, p.Idle = r.Paid(y.Catalogue)
	asked := r.Questions()
	for i := range asked[:min(len(asked), questionsShown)] {
		o := &asked[i]
		p.Questions = append(p.Questions,
			handQuestion{o.Ask(), "/v/" + o.Vehicle + "/journal/" + o.Entry + "#off-" + o.Position})
	}
	p.MoreQuestions = reckon.MoreWords(len(asked) - questionsShown)
	if r.All.Said > 0 {
		p.Course = drawCourse(r, in)
	}
}

func drawCourse(r *reckon.Reckoning, in *message.Language) *drawing {
	said, came := r.Course()
	fig, err := draw.CourseChart(draw.Course{Head: draw.Head{ID: "course", Title: "Said against came true",
		Desc: r.PictureWords(), Width: planWidth, In: in},
		X: draw.Axis{Label: "month", Lo: 0, Hi: float64(max(1, r.To.Sub(r.From))), Ticks: ticks(r)},
		Y: draw.Axis{Label: "parts"}, Said: said, Came: came})
	if err != nil {
		return nil // nothing that can be drawn
	}
	return &drawing{Title: fig.Title, Caption: fig.Caption, SVG: template.HTML(fig.SVG)}
}

// ticks are the quarters of a reckoning, or its years.
func ticks(r *reckon.Reckoning) []draw.Tick {
	var out []draw.Tick
	step := 3
	for r.To.Sub(r.From)/(30*step) > 6 {
		step *= 2
	}
	for d := r.From; !d.After(r.To); d = d.AddMonths(step) {
		out = append(out, draw.Tick{At: float64(d.Sub(r.From)), Text: told.MonthYear(d)})
	}
	return out
}
