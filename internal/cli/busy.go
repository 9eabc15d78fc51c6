package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/howfar"
	"undertray.example/undertray/internal/message"
)

// patience is how long nothing is said about work that goes on; tests have less.
var patience = time.Second

// busy tells at a terminal that work goes on, and how long it took the last time.
type busy struct {
	stop, gone chan struct{}

	count howfar.Count
	what  message.Text // was counted last
	since time.Time    // from then on
}

// begin watches a command that works something out.
func (a *app) begin(c *cobra.Command) {
	if c.GroupID != "answers" || terminal(a.err) < 0 || os.Getenv("TERM") == "dumb" {
		return
	}
	b := &busy{stop: make(chan struct{}), gone: make(chan struct{})}
	a.busy = b
	c.SetContext(howfar.With(c.Context(), &b.count))
	began, what := time.Now(), c.Name()
	go func() {
		defer close(b.gone)
		select {
		case <-b.stop:
			return
		case <-time.After(patience):
		}
		took := a.took()
		bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(a.err),
			progressbar.OptionSetDescription(b.words(time.Now(), took[what]).In(a.language)),
			progressbar.OptionSpinnerType(14), progressbar.OptionSetElapsedTime(true),
			progressbar.OptionClearOnFinish())
		every := time.NewTicker(200 * time.Millisecond)
		defer every.Stop()
		for {
			bar.Describe(b.words(time.Now(), took[what]).In(a.language))
			bar.Add(1)
			select {
			case <-b.stop:
				bar.Finish()
				took[what] = time.Since(began).Seconds()
				a.keepTook(took)
				return
			case <-every.C:
			}
		}
	}()
}

// words say how far the work is where its parts can be counted, and how long what is left of them takes, or else how
// many seconds all took the last time; 0 where that is not known.
func (b *busy) words(now time.Time, last float64) message.Text {
	what, done, of := b.count.At()
	if what != b.what {
		b.what, b.since = what, now
	}
	says := message.Text("working it out")
	if what != "" {
		says = message.Of("%d of %d %s", done, of, what)
	}
	if gone := now.Sub(b.since); what != "" && done > 0 && done < of && gone >= time.Second {
		left := gone.Seconds() * float64(of-done) / float64(done)
		return message.Of("%s, about %.0f s for the rest", says, max(1, left))
	}
	if last > 0 {
		says = message.Of("%s, about %.0f s as the last time", says, max(1, last))
	}
	return says
}

// quiet ends what begin says, before an answer is written.
func (a *app) quiet() {
	if a.busy != nil {
		close(a.busy.stop)
		<-a.busy.gone
		a.busy = nil
	}
}

// took is how many seconds commands took the last time where that was long.
func (a *app) took() map[string]float64 {
	took := map[string]float64{}
	if src, err := os.ReadFile(a.tookFile()); err == nil && json.Unmarshal(src, &took) != nil {
		return map[string]float64{}
	}
	return took
}

func (a *app) keepTook(took map[string]float64) {
	if src, err := json.Marshal(took); err == nil {
		_ = os.WriteFile(a.tookFile(), src, 0o600) // only an estimate is lost
	}
}

func (a *app) tookFile() string { return filepath.Join(a.dir, ".kept", "took.json") }
