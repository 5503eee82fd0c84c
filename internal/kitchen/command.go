package kitchen

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Command is one thing that somebody said or tapped.
type Command struct {
	ID   string // the platform's id of the request; the same id changes nothing twice
	Text string // the line, when it was typed
	Tap  *Tap   // the button, when it was tapped
	Form *Filled
	Open FormName // a form was asked for; Text is what to put into it
	// Trouble is what the runner found out about a lane; nobody said it.
	Trouble *Trouble
	// Direct says that it was said in private: a question back is asked there.
	Direct bool
	By     Person
	At     time.Time // the platform's own time of the action
	// Salt is chance, for whoever is forgotten by this command.
	Salt []byte
	// Records are batches that left the kitchen, where an answer lacked them; nil =
	// nobody looked.
	Records []*Batch
	// Message is the message that it was said in or tapped on, as the platform names
	// it: a channel and a timestamp; empty = none.
	Message string
	// Rewritten are the tokens of those who were forgotten and now stand nowhere in
	// the log and the records any more; nobody said it.
	Rewritten []string
}

// Filled is a form that came back.
type Filled struct {
	Name   string            // which form
	Carry  string            // as the form carried it
	Fields map[string]string // by the field's id; one left empty is missing
}

// Trouble is a lane that takes no messages: its channel is archived, the bot
// was removed from it, the token was revoked. An empty Reason says that it
// takes them again.
type Trouble struct {
	Lane   string `cbor:"l"`
	Reason string `cbor:"r"` // as in a runner's refusal
	Since  Moment `cbor:"s"`
	// N tells this trouble from others: the Turn of the TroubleCalls about it.
	N    uint16   `cbor:"n,omitempty"`
	Told []string `cbor:"t,omitempty"` // the ids of those who were told
}

// Tap is what a button carries: a line, and which moment of which batch it was
// shown for, so that an old button is known as old.
type Tap struct {
	Line  string // what the tap says, as it could be typed
	Batch uint32 // 0 = the line stands for itself
	Turn  uint16 // the batch's turn when the button was drawn; with no Batch, the question's number
	N     int    // which charger, for a charge
	// With is what the tap says besides, one word: "take", "vented", "sure". With
	// "change" it asks for the form that corrects how Batch was read; with
	// "replace" its line is that correction. With "form:" and a form's name it asks
	// for that form; its line is what to put into it.
	With string
}

// String writes a tap as a button's value; ParseTap reads it back.
func (t Tap) String() string {
	return fmt.Sprintf("%d.%d.%d.%s %s", t.Batch, t.Turn, t.N, t.With, t.Line)
}

// ParseTap reads a button's value. It fails on anything that String does not write.
func ParseTap(s string) (Tap, error) {
	head, line, ok := strings.Cut(s, " ")
	parts := strings.Split(head, ".")
	if !ok || len(parts) != 4 {
		return Tap{}, fmt.Errorf("parse tap %q: not a tap", s)
	}
	batch, err1 := strconv.ParseUint(parts[0], 10, 32)
	turn, err2 := strconv.ParseUint(parts[1], 10, 16)
	n, err3 := strconv.Atoi(parts[2])
	if err1 != nil || err2 != nil || err3 != nil {
		return Tap{}, fmt.Errorf("parse tap %q: not a tap", s)
	}
	return Tap{Line: line, Batch: uint32(batch), Turn: uint16(turn), N: n, With: parts[3]}, nil
}
