package kitchen

import (
	"encoding/binary"
	"errors"
	"slices"

	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// A kitchen is read and written as a whole, so what it learned is kept short: a
// weighing is its figures one after the other, each in as few bytes as it takes.
// New ones are added at the end; those that are missing are 0.

// verdicts are what a verdict is kept as: its place here.
var verdicts = []request.Verdict{"", request.Weak, request.Right, request.Strong, request.Spent, request.GoodAgain}

var errPacked = errors.New("not a weighing")

// MarshalBinary gives a weighing as it is kept.
func (w Weighing) MarshalBinary() ([]byte, error) {
	place := func(v request.Verdict) uint64 { return uint64(max(slices.Index(verdicts, v), 0)) }
	figures := []uint64{
		uint64(w.Batch), uint64(w.Made), uint64(w.In), uint64(w.Solids), uint64(w.Out), uint64(w.Meant), uint64(w.Rest), uint64(w.Contact),
		place(w.Taste)*uint64(len(verdicts)) + place(w.Solid), uint64(w.Drained),
	}
	for len(figures) > 0 && figures[len(figures)-1] == 0 {
		figures = figures[:len(figures)-1]
	}
	var body []byte
	for _, f := range figures {
		body = binary.AppendUvarint(body, f)
	}
	return body, nil
}

// UnmarshalBinary reads what MarshalBinary gives.
func (w *Weighing) UnmarshalBinary(body []byte) error {
	var f [10]uint64
	for i := 0; len(body) > 0 && i < len(f); i++ {
		n := 0
		if f[i], n = binary.Uvarint(body); n <= 0 {
			return errPacked
		}
		body = body[n:]
	}
	said := uint64(len(verdicts))
	if f[8] >= said*said {
		return errPacked
	}
	*w = Weighing{
		Batch: uint32(f[0]), Made: uint32(f[1]), In: quantity.Volume(f[2]), Solids: quantity.Mass(f[3]), Out: quantity.Volume(f[4]),
		Meant: uint32(f[5]), Rest: uint32(f[6]), Contact: uint32(f[7]), Taste: verdicts[f[8]/said], Solid: verdicts[f[8]%said],
		Drained: quantity.Mass(f[9]),
	}
	return nil
}
