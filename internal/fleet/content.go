package fleet

import "time"

// Content returns what an entry says in canonical form: all of it but its id
// and batch, who recorded it when, and the format it is written in. Two entries
// with the same content are the same fact, told twice or seen twice. The error
// is that of EncodeEntry.
func Content(e *Entry) ([]byte, error) {
	if e == nil {
		return EncodeEntry(nil)
	}
	bare := *e
	bare.Format, bare.ID, bare.Batch, bare.By = EntryFormat, noID, "", ""
	bare.Recorded, bare.Clock = time.Unix(0, 0), 0
	return EncodeEntry(&bare)
}

// noID stands where an id would: the least UUID of version 7.
const noID = "00000000-0000-7000-8000-000000000000"
