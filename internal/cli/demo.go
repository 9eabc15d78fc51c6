package cli

import (
	"context"
	"os"
	"time"

	"github.com/spf13/cobra"

	"undertray.example/undertray/internal/advise"
	"undertray.example/undertray/internal/demo"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/plan"
	"undertray.example/undertray/internal/print"
	"undertray.example/undertray/internal/visit"
	"undertray.example/undertray/internal/yard"
)

// The vehicle whose sheets the demo prints, and what is opened for its round.
const demoVehicle = "heron"

var demoOpen = []string{"engine-cover"}

func (a *app) demoCmd() *cobra.Command {
	var into string
	var printed bool
	o := serving{demo: true}
	c := &cobra.Command{Use: "demo", Short: "Look around in a made-up yard: a bird reserve and its three vehicles",
		Args: a.args(0, 0),
		Long: "Serves a made-up yard as pages, from a folder that is gone when it ends. With --print\n" +
			"it shows the same yard in the terminal; with --into it writes the yard into a new folder.",
		RunE: func(c *cobra.Command, _ []string) error {
			dir, temporary, err := demoDir(into)
			if err != nil {
				return err
			}
			if temporary {
				defer os.RemoveAll(dir)
			}
			a.dir = dir
			a.now = func() time.Time {
				return time.Date(demo.Today.Year, demo.Today.Month, demo.Today.Day, 12, 0, 0, 0, time.UTC)
			}
			if into == "" && !printed {
				return a.serveDemo(c.Context(), o)
			}
			if _, err := demo.Create(c.Context(), dir); err != nil {
				return err
			}
			if into != "" {
				a.line("The demo yard is in %s: look around with %s", dir, "--yard "+dir)
				return nil
			}
			return a.showDemo(c)
		}}
	o.flags(c)
	c.Flags().BoolVar(&printed, "print", false, "show it in the terminal instead")
	c.Flags().StringVar(&into, "into", "", "write the demo yard into this new folder and keep it")
	return c
}

// serveDemo serves the demo yard with its journal in memory: it is gone in the
// end anyhow, and answers sooner. The journal is filled while the rest starts.
func (a *app) serveDemo(ctx context.Context, o serving) error {
	if err := demo.Sheets(a.dir); err != nil {
		return err
	}
	store := journal.NewMemory()
	told := make(chan error, 1)
	go func() {
		entries, err := demo.Told(a.dir)
		if err == nil {
			_, err = store.Append(ctx, entries)
		}
		told <- err
	}()
	o.ready = func() error { return <-told }
	return a.serveFrom(ctx, o, "", store)
}

func demoDir(into string) (dir string, temporary bool, err error) {
	if into != "" {
		if err := os.Mkdir(into, 0o755); err != nil {
			return "", false, &fleet.Error{Kind: fleet.Unavailable, Where: into, Msg: "the folder cannot be made",
				Hint: "choose a name that is not taken, in a folder you may write to", Err: err}
		}
		return into, false, nil
	}
	dir, err = os.MkdirTemp("", "undertray-demo-")
	return dir, true, err
}

// showDemo prints the yard, one vehicle, one round sheet and one job sheet.
func (a *app) showDemo(c *cobra.Command) error {
	return a.withYard(c.Context(), func(y *yard.Yard, store journal.Store) error {
		var reports []*advise.Report
		var shown *advise.Report
		for _, v := range y.Vehicles() {
			r, err := a.reportOn(c.Context(), y, v)
			if err != nil {
				return err
			}
			reports = append(reports, r)
			if v.ID == demoVehicle {
				shown = r
			}
		}
		round, err := visit.NewRound(shown, visit.RoundOptions{Open: demoOpen})
		if err != nil {
			return err
		}
		share, err := plan.ShareOf(c.Context(), reports, demoVehicle, y.Settings.Visits)
		if err != nil {
			return err
		}
		made, err := plan.Make(c.Context(), shown, plan.Options{Share: share})
		if err != nil {
			return err
		}
		job, err := made.NextJob()
		if err != nil {
			return err
		}
		return a.print(y, func(t *print.Text) {
			t.Yard(y.Settings.Name, reports)
			t.Part("undertray state " + demoVehicle)
			t.State(shown, made, false)
			t.Part("undertray round " + demoVehicle + " --open engine-cover")
			t.Round(round)
			t.Part("undertray job " + demoVehicle)
			t.Job(job)
		})
	})
}
