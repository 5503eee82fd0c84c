package kitchen

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/fxamacker/cbor/v2"
)

// version is the version of every record written here. A record with a newer
// one is refused, an older one is read.
const version = 1

// The fields of a kitchen: its head, one per vessel that is not simply free, one
// per entry of the book that was edited, and two per batch, the fixed part apart
// so that it is written once.
const (
	fieldHead   = "h"
	fieldCrew   = "w"
	fieldPast   = "a"
	fieldDiary  = "t"
	fieldLots   = "l"
	fieldRecall = "k/" // and the recall's number
	fieldStock  = "s"
	fieldCream  = "m"
	fieldGone   = "f"
	fieldClose  = "c"
	fieldVessel = "v/"
	fieldFixed  = "p/"
	fieldMoving = "b/"
	fieldEdit   = "e/" // and the part of the book and the entry's folded name
)

// canonical gives the one encoder: the same value gives the same bytes, so
// that a field that did not change is seen as such.
var canonical = func() cbor.EncMode {
	mode, err := cbor.CanonicalEncOptions().EncMode()
	if err != nil {
		panic(err) // the options are fixed; a test builds them
	}
	return mode
}()

// Decode makes a kitchen of its fields. No fields make an empty kitchen.
func Decode(id string, fields map[string][]byte) (*Kitchen, error) {
	k := &Kitchen{
		ID: id, Head: Head{V: version},
		Vessels: map[string]Vessel{}, Batches: map[uint32]*Batch{}, Edits: map[string]Edit{}, was: fields,
	}
	for name, body := range fields {
		if err := k.decodeField(name, body); err != nil {
			return nil, fmt.Errorf("decode kitchen %s field %s: %w", id, name, err)
		}
	}
	return k, nil
}

func (k *Kitchen) decodeField(name string, body []byte) error {
	switch {
	case name == fieldHead:
		return decode(body, &k.Head)
	case name == fieldCrew:
		return decode(body, &k.Crew)
	case name == fieldPast:
		return decode(body, &k.History)
	case name == fieldDiary:
		return decode(body, &k.Diary)
	case name == fieldStock:
		return decode(body, &k.Stock)
	case name == fieldCream:
		var list kept
		err := decode(body, &list)
		k.Kept = list.List
		return err
	case name == fieldLots:
		return decode(body, &k.Lots)
	case strings.HasPrefix(name, fieldRecall):
		return k.decodeRecall(body)
	case name == fieldClose:
		return decode(body, &k.Closing)
	case name == fieldGone:
		return decode(body, &k.Forgotten)
	case strings.HasPrefix(name, fieldVessel):
		var v Vessel
		err := decode(body, &v)
		k.Vessels[strings.TrimPrefix(name, fieldVessel)] = v
		return err
	case strings.HasPrefix(name, fieldEdit):
		var e Edit
		err := decode(body, &e)
		k.Edits[strings.TrimPrefix(name, fieldEdit)] = e
		return err
	case strings.HasPrefix(name, fieldFixed):
		b, err := k.batchOf(strings.TrimPrefix(name, fieldFixed))
		if err != nil {
			return err
		}
		return decode(body, &b.Fixed)
	case strings.HasPrefix(name, fieldMoving):
		b, err := k.batchOf(strings.TrimPrefix(name, fieldMoving))
		if err != nil {
			return err
		}
		return decode(body, &b.Moving)
	}
	return fmt.Errorf("unknown field: %w", ErrNewer)
}

func (k *Kitchen) batchOf(number string) (*Batch, error) {
	n, err := strconv.ParseUint(number, 10, 32)
	if err != nil {
		return nil, err
	}
	id := uint32(n)
	if k.Batches[id] == nil {
		k.Batches[id] = &Batch{ID: id}
	}
	return k.Batches[id], nil
}

// decode reads one record after a look at its version.
func decode(body []byte, into any) error {
	var head struct {
		V int `cbor:"v"`
	}
	if err := cbor.Unmarshal(body, &head); err != nil {
		return err
	}
	if head.V > version {
		return fmt.Errorf("version %d: %w", head.V, ErrNewer)
	}
	return cbor.Unmarshal(body, into)
}

// Encode gives the kitchen's fields.
func (k *Kitchen) Encode() map[string][]byte {
	fields := map[string][]byte{fieldHead: encode(k.Head)}
	if k.Crew.V > 0 {
		fields[fieldCrew] = encode(k.Crew)
	}
	if k.History.V > 0 {
		fields[fieldPast] = encode(k.History)
	}
	if k.Diary.V > 0 {
		fields[fieldDiary] = encode(k.Diary)
	}
	if k.Stock.V > 0 {
		fields[fieldStock] = encode(k.Stock)
	}
	if len(k.Kept) > 0 {
		fields[fieldCream] = encode(kept{V: version, List: k.Kept})
	}
	for _, r := range k.Recalls {
		fields[fieldRecall+strconv.Itoa(int(r.N))] = encode(r)
	}
	if k.Lots.V > 0 {
		fields[fieldLots] = encode(k.Lots)
	}
	if k.Closing.V > 0 {
		fields[fieldClose] = encode(k.Closing)
	}
	if k.Forgotten.V > 0 {
		fields[fieldGone] = encode(k.Forgotten)
	}
	for tag, v := range k.Vessels {
		fields[fieldVessel+tag] = encode(v)
	}
	for key, e := range k.Edits {
		fields[fieldEdit+key] = encode(e)
	}
	for id, b := range k.Batches {
		number := strconv.FormatUint(uint64(id), 10)
		fields[fieldFixed+number] = encode(b.Fixed)
		fields[fieldMoving+number] = encode(b.Moving)
	}
	return fields
}

// encode writes a record. The types here hold nothing that cannot be encoded.
func encode(v any) []byte {
	body, err := canonical.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("encode %T: %v", v, err))
	}
	return body
}

// record is a batch as it is kept once it left the kitchen.
type record struct {
	V      int    `cbor:"v"`
	ID     uint32 `cbor:"i"`
	Fixed  Fixed  `cbor:"f"`
	Moving Moving `cbor:"m"`
}

// EncodeBatch gives a batch as the record it leaves behind.
func EncodeBatch(b *Batch) []byte {
	return encode(record{V: version, ID: b.ID, Fixed: b.Fixed, Moving: b.Moving})
}

// ErrNoBatch says that a record is not that of a batch: a closing list that was
// signed stands in the same row.
var ErrNoBatch = errors.New("no batch")

// DecodeBatch reads a batch's record.
func DecodeBatch(body []byte) (*Batch, error) {
	var r record
	if err := decode(body, &r); err != nil {
		return nil, fmt.Errorf("decode batch: %w", err)
	}
	if r.Fixed.V == 0 { // a record of something else
		return nil, fmt.Errorf("decode batch: %w", ErrNoBatch)
	}
	return &Batch{ID: r.ID, Fixed: r.Fixed, Moving: r.Moving}, nil
}

// diff puts into ch the fields that differ from those that were loaded.
func (k *Kitchen) diff(ch *Change) {
	fields := k.Encode()
	ch.Set = map[string][]byte{}
	for name, body := range fields {
		if !bytes.Equal(body, k.was[name]) {
			ch.Set[name] = body
		}
	}
	for name := range k.was {
		if _, still := fields[name]; !still {
			ch.Del = append(ch.Del, name)
		}
	}
	slices.Sort(ch.Del)
	k.was = fields
}
