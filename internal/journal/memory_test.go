package journal_test

import (
	"testing"

	"undertray/internal/journal"
	"undertray/internal/journal/journaltest"
)

func TestMemory(t *testing.T) {
	journaltest.Run(t, func(*testing.T) journal.Store { return journal.NewMemory() })
}
