package kitchen

import (
	"cmp"
	"slices"

	"ventbell/internal/book"
)

// Edit is the latest change of one entry of the house's book, made from chat.
// The changes before it stand in the log.
type Edit struct {
	V int `cbor:"v"`
	book.Edit
	By Person `cbor:"b"`
	At Moment `cbor:"a"`
	N  uint32 `cbor:"e"` // which of the kitchen's edits: Head.Edition as it was then
}

const (
	// editsAtMost and editBytes bound what a kitchen keeps of its book beside the
	// file (our choice): some entries changed, not a book of its own.
	editsAtMost = 200
	editBytes   = 4096
	// EditEvent is the log's word for an edit; its details are "part", "name",
	// "edition", and the entry's YAML "before" and "after".
	EditEvent = "book changed"
)

// entryKey names an entry of the book, however its name is written.
func entryKey(part book.Part, name string) string { return string(part) + "/" + book.Fold(name) }

// Edited gives the kitchen's edits of its book, the earliest first.
func (k *Kitchen) Edited() []Edit {
	list := make([]Edit, 0, len(k.Edits))
	for _, e := range k.Edits {
		list = append(list, e)
	}
	slices.SortFunc(list, func(x, y Edit) int { return cmp.Compare(x.N, y.N) })
	return list
}

// edition gives the number of an entry's latest edit; 0 = it stands as in the file.
func (k *Kitchen) edition(part book.Part, name string) uint32 { return k.Edits[entryKey(part, name)].N }

// Amended gives a book with edits carried out, the earliest first. When what
// comes of them is no book, as when the file changed since, it keeps those
// that fit one by one and gives back the others.
func Amended(base *book.Book, edits []Edit) (b *book.Book, left []Edit) {
	if len(edits) == 0 {
		return base, nil
	}
	if b, err := amended(base, edits); err == nil {
		return b, nil
	}
	b = base
	for _, e := range edits {
		if with, err := amended(b, []Edit{e}); err == nil {
			b = with
		} else {
			left = append(left, e)
		}
	}
	return b, left
}

// amended gives a book with edits, all of them or none. An entry that is to be
// gone may be gone already.
func amended(b *book.Book, edits []Edit) (*book.Book, error) {
	text := b.Text
	for _, e := range edits {
		if e.YAML == "" && book.EntryText(text, e.Part, e.Name) == "" {
			continue
		}
		var err error
		if text, err = book.Amend(text, e.Edit); err != nil {
			return nil, err
		}
	}
	return book.Parse(text)
}
