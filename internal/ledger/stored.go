package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/fxamacker/cbor/v2"

	"ventbell/internal/kitchen"
)

// version is the newest stored form that this program knows, of records and of
// the layout around them.
const version = 1

// Modes of the stored form. Struct fields are written in their order, so v
// comes first. Names may hold any bytes, so text need not be valid UTF-8.
var (
	encoding = sure(cbor.EncOptions{}.EncMode())
	decoding = sure(cbor.DecOptions{UTF8: cbor.UTF8DecodeInvalid}.DecMode())
)

// sure takes a mode whose options are fixed above.
func sure[M any](mode M, err error) M {
	if err != nil {
		panic(err)
	}
	return mode
}

// The stored forms of the kitchen's types. They differ in their times only:
// whole microseconds since 1970 UTC, 0 for none, since the encoder's own times
// are floating-point numbers.
type (
	storedEntry struct {
		V      int               `cbor:"v"`
		Key    string            `cbor:"k"`
		Lane   string            `cbor:"l"`
		Kind   kitchen.EntryKind `cbor:"t"`
		Batch  uint32            `cbor:"b"`
		Turn   uint16            `cbor:"u,omitempty"`
		Rung   uint8             `cbor:"r,omitempty"`
		Due    int64             `cbor:"d"`
		Seq    uint64            `cbor:"s"`
		Urgent bool              `cbor:"p,omitempty"`
		Edit   bool              `cbor:"e,omitempty"`
	}
	storedSent struct {
		V       int    `cbor:"v"`
		Key     string `cbor:"k"`
		Channel string `cbor:"c"`
		TS      string `cbor:"t"`
		At      int64  `cbor:"a"`
		Seq     uint64 `cbor:"s"`
		Digest  string `cbor:"g"`
		Edited  int64  `cbor:"e,omitempty"`
		Mark    string `cbor:"m,omitempty"`
	}
	storedLine struct {
		V       int               `cbor:"v"`
		Kitchen string            `cbor:"k"`
		Batch   uint32            `cbor:"b,omitempty"`
		Event   string            `cbor:"e"`
		By      kitchen.Person    `cbor:"w"`
		Done    int64             `cbor:"d"`
		Entered int64             `cbor:"n"`
		Request string            `cbor:"q,omitempty"`
		Message string            `cbor:"g,omitempty"`
		Details map[string]string `cbor:"x,omitempty"`
	}
)

// micros gives t as whole microseconds since 1970 UTC, 0 for no time.
func micros(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

// moment reads what micros gives.
func moment(us int64) time.Time {
	if us == 0 {
		return time.Time{}
	}
	return time.UnixMicro(us).UTC()
}

func encodeEntry(e kitchen.Entry) ([]byte, error) {
	body, err := encoding.Marshal(storedEntry{
		V: version, Key: e.Key, Lane: e.Lane, Kind: e.Kind, Batch: e.Batch, Turn: e.Turn,
		Rung: e.Rung, Due: micros(e.Due), Seq: e.Seq, Urgent: e.Urgent, Edit: e.Edit,
	})
	if err != nil {
		return nil, fmt.Errorf("encode entry: %w", err)
	}
	return item{v: version, seq: e.Seq, lane: e.Lane, body: body}.bytes(), nil
}

func decodeEntry(data []byte) (kitchen.Entry, error) {
	var s storedEntry
	if err := decodeItem(data, &s); err != nil {
		return kitchen.Entry{}, fmt.Errorf("decode entry: %w", err)
	}
	return kitchen.Entry{
		V: s.V, Key: s.Key, Lane: s.Lane, Kind: s.Kind, Batch: s.Batch, Turn: s.Turn,
		Rung: s.Rung, Due: moment(s.Due), Seq: s.Seq, Urgent: s.Urgent, Edit: s.Edit,
	}, nil
}

func encodeSent(s kitchen.Sent) ([]byte, error) {
	body, err := encoding.Marshal(storedSent{
		V: version, Key: s.Key, Channel: s.Channel, TS: s.TS, At: micros(s.At), Seq: s.Seq, Digest: s.Digest,
		Edited: micros(s.Edited), Mark: s.Mark,
	})
	if err != nil {
		return nil, fmt.Errorf("encode sent: %w", err)
	}
	return item{v: version, seq: s.Seq, body: body}.bytes(), nil
}

func decodeSent(data []byte) (kitchen.Sent, error) {
	var s storedSent
	if err := decodeItem(data, &s); err != nil {
		return kitchen.Sent{}, fmt.Errorf("decode sent: %w", err)
	}
	return kitchen.Sent{
		V: s.V, Key: s.Key, Channel: s.Channel, TS: s.TS, At: moment(s.At), Seq: s.Seq, Digest: s.Digest,
		Edited: moment(s.Edited), Mark: s.Mark,
	}, nil
}

func encodeLine(l kitchen.Line) ([]byte, error) {
	body, err := encoding.Marshal(storedLine{
		V: version, Kitchen: l.Kitchen, Batch: l.Batch, Event: l.Event, By: l.By,
		Done: micros(l.Done), Entered: micros(l.Entered), Request: l.Request, Message: l.Message, Details: l.Details,
	})
	if err != nil {
		return nil, fmt.Errorf("encode line: %w", err)
	}
	return body, nil
}

func decodeLine(data []byte) (kitchen.Line, error) {
	var s storedLine
	if err := decode(data, &s); err != nil {
		return kitchen.Line{}, fmt.Errorf("decode line: %w", err)
	}
	return kitchen.Line{
		V: s.V, Kitchen: s.Kitchen, Batch: s.Batch, Event: s.Event, By: s.By,
		Done: moment(s.Done), Entered: moment(s.Entered), Request: s.Request, Message: s.Message, Details: s.Details,
	}, nil
}

// decode reads a record, whose version is looked at before anything else.
func decode(data []byte, into any) error {
	var head struct {
		V int `cbor:"v"`
	}
	if err := decoding.Unmarshal(data, &head); err != nil {
		return err
	}
	if err := readable(head.V); err != nil {
		return err
	}
	return decoding.Unmarshal(data, into)
}

// readable says whether this program knows version v.
func readable(v int) error {
	switch {
	case v > version:
		return fmt.Errorf("version %d: %w", v, kitchen.ErrNewer)
	case v < 1:
		return fmt.Errorf("version %d: no such version", v)
	}
	return nil
}

// item is a stored entry or sent record. What a script must compare stands
// before the body in plain digits: its version, its Seq and its lane.
type item struct {
	v    int
	seq  uint64
	lane string
	body []byte
}

func (i item) bytes() []byte {
	return append(fmt.Appendf(nil, "%d %020d %d %s", i.v, i.seq, len(i.lane), i.lane), i.body...)
}

var errNoItem = errors.New("not an item")

func parseItem(data []byte) (item, error) {
	parts := bytes.SplitN(data, []byte(" "), 4)
	if len(parts) != 4 {
		return item{}, errNoItem
	}
	v, err1 := strconv.Atoi(string(parts[0]))
	seq, err2 := strconv.ParseUint(string(parts[1]), 10, 64)
	n, err3 := strconv.Atoi(string(parts[2]))
	if err1 != nil || err2 != nil || err3 != nil || n < 0 || n > len(parts[3]) {
		return item{}, errNoItem
	}
	return item{v: v, seq: seq, lane: string(parts[3][:n]), body: parts[3][n:]}, nil
}

func decodeItem(data []byte, into any) error {
	i, err := parseItem(data)
	if err != nil {
		return err
	}
	if err := readable(i.v); err != nil {
		return err
	}
	return decode(i.body, into)
}
