package journal_test

import (
	"testing"

	"undertray.example/undertray/internal/journal"
	"undertray.example/undertray/internal/journal/journaltest"
)

func TestMemory(t *testing.T) {
	journaltest.Run(t, func(*testing.T) journal.Store { return journal.NewMemory() })
}

// Marks older than what is looked at at once are asked about one by one.
func TestMarksFromLongAgo(t *testing.T) {
	defer journal.LookBack(journal.LookBack(10))
	journaltest.Still(t, journal.NewMemory())
}
