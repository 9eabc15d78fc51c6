package journal

import (
	"context"
	"io"

	"undertray.example/undertray/internal/fleet"
)

// appendTo is Append by way of Land.
func appendTo(ctx context.Context, s Store, entries []*fleet.Entry) (added int, err error) {
	if len(entries) == 0 {
		return 0, ctx.Err()
	}
	err = s.Land(ctx, func(l Landing) error {
		added, err = landAll(l, entries)
		return err
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// ofVehicle is OfVehicle by way of Entries. No vehicle has an empty name.
func ofVehicle(ctx context.Context, s Store, vehicle string) ([]*fleet.Entry, error) {
	if vehicle == "" {
		return nil, ctx.Err()
	}
	return s.Entries(ctx, Filter{Vehicle: vehicle})
}

// putAttachment is PutAttachment by way of Land. It reads first, so that a slow
// sender holds up nobody.
func putAttachment(ctx context.Context, s Store, r io.Reader, name, mediaType string) (string, error) {
	data, err := readContent(r)
	if err != nil {
		return "", err
	}
	a, err := sealed(&Attachment{AttachmentInfo{Name: name, Media: mediaType}, data})
	if err != nil {
		return "", err
	}
	err = s.Land(ctx, func(l Landing) error {
		_, err := l.Attach(a)
		return err
	})
	if err != nil {
		return "", err
	}
	return a.Hash, nil
}

// ofForm is OfForm by way of Entries.
func ofForm(ctx context.Context, s Store, batch string) ([]*fleet.Entry, error) {
	if batch == "" {
		return nil, ctx.Err()
	}
	var all []*fleet.Entry
	for n, id := 1, batch; ; n++ {
		entries, err := s.Entries(ctx, Filter{Batch: id})
		if err != nil || len(entries) == 0 || !fleet.IsID(batch) {
			return append(all, entries...), err
		}
		all, id = append(all, entries...), further(batch, n)
	}
}
