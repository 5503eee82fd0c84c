package kitchen

import (
	"errors"
	"time"
)

// State is what a ledger knows of one kitchen. A kitchen never heard of has no
// fields and an empty revision.
type State struct {
	Rev    string            // a number and a random tail; equality decides
	Now    time.Time         // the ledger's own time
	Fields map[string][]byte // see Encode
	Answer []byte            // the stored answer, if the request is known; else nil
	Sent   map[string]Sent   // by key; only Peek fills it
}

// Change is what one Handle or Ring wants written, all of it or nothing.
type Change struct {
	Set     map[string][]byte // fields that differ
	Del     []string          // fields that are gone
	Due     time.Time         // the kitchen's next due moment; zero = none
	Outbox  []Entry           // a key already there is replaced: the newest wins
	Drop    []string          // outbox keys no longer wanted, if still there
	Log     []Line
	Answer  []byte   // kept under the request for 26 hours
	Archive []Record // batches that leave the kitchen
	Forget  []uint32 // batches whose sent keys ("<batch>/...") go
}

// Entry is one message to bring up to date: posted if its key was never sent,
// else edited. It is worded when it is delivered, from the kitchen's state then.
type Entry struct {
	V     int       `cbor:"v"`
	Key   string    `cbor:"k"` // "<batch>/<what>"
	Lane  string    `cbor:"l"` // a channel's id, or "@" and a person's id
	Kind  EntryKind `cbor:"t"`
	Batch uint32    `cbor:"b"`
	Turn  uint16    `cbor:"u,omitempty"` // which reaching of the moment
	Rung  uint8     `cbor:"r,omitempty"` // 0 the call, 1 its second call, ...
	Due   time.Time `cbor:"d"`           // the moment it is about
	Seq   uint64    `cbor:"s"`           // order within the kitchen, rising
	// Urgent entries go first in their lane and lift the older entries of
	// their own batch with them.
	Urgent bool `cbor:"p,omitempty"`
	// Edit entries only correct what was sent; never sent, they are dropped.
	Edit bool `cbor:"e,omitempty"`
}

// EntryKind says which message an entry is.
type EntryKind string

// The messages that the outbox carries.
const (
	Slip        EntryKind = "slip" // a batch's one message, edited in place
	HeadsUp     EntryKind = "heads-up"
	Expired     EntryKind = "expired" // a reservation ran out
	ChargeCall  EntryKind = "charge"  // gas in, but charging stands still
	StopCall    EntryKind = "stop"    // a charger above the count
	VentCall    EntryKind = "vent"
	ContactCall EntryKind = "contact"
	StrainCall  EntryKind = "strain"
	ClearCall   EntryKind = "clear"
	LabelCall   EntryKind = "label"
	// HistoryNote is a batch's whole history, in the thread below its slip.
	HistoryNote EntryKind = "history"
	// FallbackCall lies ready at the platform, for the case that this host
	// dies: it is scheduled for Due, moved when Due moves, and taken back when
	// it no longer applies.
	FallbackCall EntryKind = "fallback"
	// TroubleCall tells a manager, directly, that a lane takes no messages.
	TroubleCall EntryKind = "trouble"
	// AlarmCall tells the team that something is wrong: with a vessel, or with
	// somebody or the house. Its Turn is the alarm's number.
	AlarmCall EntryKind = "alarm"
	// JointCall is one message for the calls of several batches that are due at about
	// the same time. Its Batch is its own number: see JointOf.
	JointCall EntryKind = "joint"
	// OfferCall asks the team to take a batch over.
	OfferCall EntryKind = "offer"
	// ClaimCall asks the crew whether a vessel is empty: somebody said so whose word
	// is not enough.
	ClaimCall EntryKind = "said empty"
	// QuestionNote is a question back about a start. Its Turn is the question's
	// number; it is edited as long as there is something to say about it.
	QuestionNote EntryKind = "question"
	// StockCall warns the team that chargers run low. Its Turn is the warning's number.
	StockCall EntryKind = "stock"
	// OrderCall reminds the managers to order chargers before the supplier's cut-off.
	OrderCall EntryKind = "order"
	// CountNote tells the managers of a count that does not agree with the log.
	CountNote EntryKind = "count"
	// CreamSlip is the message of a vessel of cream kept charged, edited in place, and
	// CreamCall calls to empty it. Their Batch is the cream's number.
	CreamSlip EntryKind = "cream slip"
	CreamCall EntryKind = "cream"
)

// Sent is what is known of a message that was delivered, or that may have been:
// while nobody knows, it has a Mark and no TS. With neither, nothing stands.
type Sent struct {
	V       int       `cbor:"v"`
	Key     string    `cbor:"k"`
	Channel string    `cbor:"c"` // where it stands; for a direct message not the lane
	TS      string    `cbor:"t"` // Slack's timestamp of the message; of a fallback its id
	At      time.Time `cbor:"a"` // when it was posted; an edit leaves it; zero = a fallback, not posted yet
	Seq     uint64    `cbor:"s"` // of the entry last delivered
	Digest  string    `cbor:"g"` // of the words last delivered: no edit without a change
	// Edited is when it was last edited.
	Edited time.Time `cbor:"e,omitzero"`
	// Mark is what a message that may stand somewhere is to be found by.
	Mark string `cbor:"m,omitempty"`
}

// Line is one line of the log: who did what, when it was done and when it was
// entered. Details holds what differs from event to event.
type Line struct {
	V       int       `cbor:"v" json:"-"`
	Kitchen string    `cbor:"k" json:"kitchen"`
	Batch   uint32    `cbor:"b,omitempty" json:"batch,omitempty"`
	Event   string    `cbor:"e" json:"event"`
	By      Person    `cbor:"w" json:"by"`
	Done    time.Time `cbor:"d" json:"done"`    // when it was done
	Entered time.Time `cbor:"n" json:"entered"` // when it was entered
	Request string    `cbor:"q,omitempty" json:"request,omitempty"`
	// Message is the message it came from, as the platform names it: a channel and
	// a timestamp.
	Message string            `cbor:"g,omitempty" json:"message,omitempty"`
	Details map[string]string `cbor:"x,omitempty" json:"details,omitempty"`
}

// Record is a batch that leaves the kitchen for its own record.
type Record struct {
	Batch uint32
	Day   string // business day, "2006-01-02"
	Body  []byte
}

// Person is somebody of the crew, as the platform knows them.
type Person struct {
	ID   string `cbor:"i" json:"id"`
	Name string `cbor:"n" json:"name"`
	// Guest says that they are from outside: of another workspace that shares the
	// channel, or let into this one for some channels only.
	Guest bool `cbor:"g,omitempty" json:"guest,omitempty"`
}

// Errors that a ledger gives back from Commit and Load.
var (
	// ErrStale: somebody else wrote first; load again and decide again.
	ErrStale = errors.New("stale revision")
	// ErrTooBig: more than 500 values, or a value above the size limit.
	// Nothing was written.
	ErrTooBig = errors.New("change too big")
	// ErrNewer: a record was written by a newer program. Nothing is touched.
	ErrNewer = errors.New("written by a newer version")
)

// Parcel is one lane of one kitchen's outbox, leased to one runner.
type Parcel struct {
	Kitchen string
	Lane    string
	Token   string    // of the lease
	Until   time.Time // the lease's end, in ledger time
	Now     time.Time // the ledger's time
	Entries []Entry   // by Seq
	// Lost: the runner that had the lane before never gave it back. It may
	// have died between a message and the record of it.
	Lost bool
}

// Delivery is what a runner reports of a parcel.
type Delivery struct {
	Sent []Sent
	// Gone are entries that will not be delivered, with the reason.
	Gone []Gone
	// Again is when the lane may be taken next; zero = at once.
	Again time.Time
}

// Gone is an entry given up or no longer needed.
type Gone struct {
	Key    string
	Seq    uint64
	Reason string
}

// DueKitchen is a kitchen and its next due moment.
type DueKitchen struct {
	Kitchen string
	At      time.Time
}
