package desk

import (
	"slices"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

// edition is a kitchen's book as of its latest edit, read once for all that
// comes until the next. Nothing in it is changed.
type edition struct {
	edits  []kitchen.Edit
	book   *book.Book
	reader *request.Reader
}

// bookOf gives a kitchen's book: the one in the file with the kitchen's own
// edits. An edit that no longer fits the file is left out, loudly.
func (d *Desk) bookOf(k *kitchen.Kitchen) *edition {
	if len(k.Edits) == 0 {
		return &edition{book: d.Book, reader: d.reader}
	}
	edits := k.Edited()
	if known, ok := d.shelf.Load(k.ID); ok && slices.Equal(known.(*edition).edits, edits) {
		return known.(*edition)
	}
	b, left := kitchen.Amended(d.Book, edits)
	for _, e := range left {
		d.Log.Error("an edit of the book is left out", "kitchen", k.ID, "kind", string(e.Part), "key", e.Name,
			"reason", "it does not fit the book's file any more")
	}
	e := &edition{edits: edits, book: b, reader: request.NewReader(b)}
	d.shelf.Store(k.ID, e)
	return e
}
