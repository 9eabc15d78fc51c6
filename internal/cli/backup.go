package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"undertray.example/undertray/civil"
	"undertray.example/undertray/internal/backup"
	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/say/told"
)

func (a *app) backupCmd() *cobra.Command {
	return &cobra.Command{Use: "backup FILE", Short: "Back the whole yard up into one file, while it is in use",
		Args: a.args(1, 1),
		Long: "Writes journal, pictures, recordings, vehicle sheets, catalogue files and settings into\n" +
			"one new file and reads it back before it gets its name. The pass-phrase is not in it.\n\n" + exitHelp,
		Example: "  undertray backup /media/stick/yard-2026-11-28.tar.gz",
		RunE: func(c *cobra.Command, args []string) error {
			return a.withJournal(c.Context(), func(store journal.Store) error {
				about, err := backup.Write(c.Context(), a.dir, store, args[0], a.now())
				if err != nil {
					return err
				}
				a.line("Backed up to %s and read back: %d entries, %d pictures and recordings, "+
					"digest %s.", args[0], about.Entries, about.Attachments, about.Digest)
				return nil
			})
		}}
}

func (a *app) restoreCmd() *cobra.Command {
	return &cobra.Command{Use: "restore FILE", Short: "Put a backup back, keeping what it replaces", Args: a.args(1, 1),
		Long: "Checks the whole backup, builds the journal anew, puts everything into the yard's folder\n" +
			"and compares what then stands with the backup. What was there is kept in a folder beside\n" +
			"it, leftovers of the journal included. On a machine without a yard it makes one. End a\n" +
			"server of the yard first; one that runs notices, and takes no facts until it is started anew.\n\n" +
			exitHelp,
		Example: "  undertray restore /media/stick/yard-2026-11-28.tar.gz",
		RunE: func(c *cobra.Command, args []string) error {
			aside, err := a.aside()
			if err != nil {
				return err
			}
			address, err := a.journalAddress()
			if err != nil {
				return err
			}
			done, err := backup.Restore(c.Context(), args[0], a.dir, address, aside)
			if done.Kept != "" {
				a.line("What was there is kept in %s.", done.Kept)
			}
			if err != nil {
				return err
			}
			a.line("Restored and compared with the backup of %s: %d entries, %d pictures and "+
				"recordings, digest %s.",
				told.Long(civil.Of(done.Made)), done.Entries, done.Attachments, done.Digest)
			return nil
		}}
}

// remind tells where the last backup is old, beside the answer.
func (a *app) remind(ctx context.Context, store journal.Store) {
	if words := backup.Reminder(ctx, a.dir, store, a.now()); words != "" {
		a.note("", words)
	}
}

// aside returns a folder that is not there yet, for what is replaced.
func (a *app) aside() (string, error) {
	name := filepath.Join(a.dir, "replaced-"+a.now().UTC().Format("2006-01-02-150405"))
	for n := 1; n < 100; n++ {
		out := name
		if n > 1 {
			out = fmt.Sprintf("%s-%d", name, n)
		}
		if _, err := os.Lstat(out); errors.Is(err, fs.ErrNotExist) {
			return out, nil
		}
	}
	return "", &fleet.Error{Kind: fleet.Conflict, Where: name, Msg: "there are too many folders of that name",
		Hint: "move them elsewhere"}
}
