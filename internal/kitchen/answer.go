package kitchen

import (
	"fmt"

	"ventbell/internal/book"
	"ventbell/internal/glass"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Answer is the answer to a command, as a value: it is kept under the
// request, and the words are made again whenever they are needed.
type Answer struct {
	V     int        `cbor:"v"`
	Kind  AnswerKind `cbor:"k"`
	Code  Code       `cbor:"c,omitempty"` // what is asked or refused
	Batch uint32     `cbor:"b,omitempty"`
	// Batches are all that a start made, when there are several.
	Batches []uint32        `cbor:"l,omitempty"`
	Title   string          `cbor:"t,omitempty"`
	Vessel  string          `cbor:"a,omitempty"`
	Verb    request.Verb    `cbor:"r,omitempty"`
	Phase   Phase           `cbor:"p,omitempty"` // the batch's, when it matters
	N       int             `cbor:"n,omitempty"` // chargers
	Of      int             `cbor:"o,omitempty"`
	Volume  quantity.Volume `cbor:"y,omitempty"`
	Who     Person          `cbor:"w"` // who has it, who did it
	At      Moment          `cbor:"m,omitempty"`
	Choices []Choice        `cbor:"h,omitempty"`
	Line    string          `cbor:"e,omitempty"` // the request as understood, or what to type
	Free    []string        `cbor:"i,omitempty"` // on the board: the vessels that are free
	Dirty   []string        `cbor:"d,omitempty"` // and those that wait to be washed

	Question *request.Question `cbor:"q,omitempty"`
	// Asked is the number of the question that Question or Choices are, where it
	// is kept and stands in the outbox; 0 = neither.
	Asked uint16 `cbor:"as,omitempty"`
	// Over says how a question of Line was ended by Who, At.
	Over AskedEnd `cbor:"ov,omitempty"`
	// Were are the vessels that were held for a start and that it did not get.
	Were    []string         `cbor:"we,omitempty"`
	Problem *request.Problem `cbor:"x,omitempty"`
	Plan    *plan.Problem    `cbor:"f,omitempty"`
	// Glass is what is in the glass of a drink; NoGlass says why nothing is.
	Glass   *glass.Sums    `cbor:"g,omitempty"`
	NoGlass *glass.Problem `cbor:"j,omitempty"`
	// Why is the plan behind a batch, worked out again; it is never kept.
	Why *plan.Plan `cbor:"-"`

	// Form opens a form; the room voice fills it from the kitchen and the book.
	Form FormName `cbor:"z,omitempty"`
	// Field is the field of a filled form that the answer is about; empty = none.
	Field string `cbor:"fd,omitempty"`
	// Carry is what each button of Question and Plan carries beside its line, in
	// the correction of a reading; nil = nothing.
	Carry *Tap `cbor:"ca,omitempty"`
	// Replaced is the batch whose place a corrected reading took; 0 = none.
	Replaced uint32 `cbor:"rp,omitempty"`
	// Gone says that Title was taken out of the book; Findings are what is worth
	// mending about it since it was changed.
	Gone     bool               `cbor:"gn,omitempty"`
	Findings []book.FindingCode `cbor:"fg,omitempty"`
	// Since says that the book was changed after the batch was started: what it
	// did not copy is as the book has it now.
	Since bool `cbor:"sn,omitempty"`
	// Said is when a thing was said that reached us late; it counts from At.
	Said Moment `cbor:"sd,omitempty"`

	// Language is that of the line that was typed; empty = the house's own.
	Language string `cbor:"lg,omitempty"`
	// Topic is what a question was about and Allergen what it named; Facts is what
	// is known of it beside the open batches.
	Topic    request.Topic `cbor:"tp,omitempty"`
	Allergen string        `cbor:"al,omitempty"`
	Facts    *Facts        `cbor:"fc,omitempty"`
	// Wrong is what is wrong with a vessel, or with somebody or the house: then Aid
	// says whom to call.
	Wrong request.Kind `cbor:"wr,omitempty"`
	Aid   *Aid         `cbor:"ai,omitempty"`
	// Wanted is what it takes to have something ready later.
	Wanted *Wanted `cbor:"wa,omitempty"`
	// Verdict is what was said of Batch, and Also of its solids beside that; Volume
	// or Solids is what it gave, where that was told with it.
	Verdict request.Verdict `cbor:"vd,omitempty"`
	Also    request.Verdict `cbor:"vs,omitempty"`
	Solids  quantity.Mass   `cbor:"so,omitempty"`
	// Last are the last results of what was started, the latest first, and Proposal
	// is what they speak for.
	Last     []plan.Result  `cbor:"la,omitempty"`
	Proposal *plan.Proposal `cbor:"pp,omitempty"`
	// Short says that a rest is shorter than the recipe's shortest.
	Short bool `cbor:"sh,omitempty"`

	// Stock is what is known of the chargers, and Cream the number of a vessel of
	// cream kept charged that the answer is about.
	Stock *StockPage `cbor:"sk,omitempty"`
	Cream uint32     `cbor:"cr,omitempty"`
	// Register is what the register tells of vessels.
	Register *RegisterPage `cbor:"rg,omitempty"`
	// Closing is the closing list, or what else the end of a day is about.
	Closing *ClosingPage `cbor:"cg,omitempty"`
	// Washed says that Who washed Vessel At, if not apart.
	Washed bool `cbor:"wd,omitempty"`
	// Allergens are those that Vessel carries until a deep wash.
	Allergens []string `cbor:"av,omitempty"`

	// Crew is what is told of the crew.
	Crew *CrewPage `cbor:"cw,omitempty"`

	// Product is what is kept of Batch.
	Product book.Product `cbor:"pd,omitempty"`

	// Lacks says which records it takes to answer; it is never kept.
	Lacks *Lacks `cbor:"-"`
	// Found are the batches that were asked for, also those that left the kitchen,
	// and Recalls what was taken back; neither is ever kept.
	Found   []*Batch `cbor:"-"`
	Recalls []Recall `cbor:"-"`
	// Missing says that Title was looked for and not found.
	Missing bool `cbor:"ms,omitempty"`
	// Lot is the lot that was told of Title.
	Lot string `cbor:"lt,omitempty"`

	// Private answers concern only the one who asked.
	Private bool `cbor:"s,omitempty"`
	// Quiet answers need no words: a button was tapped and its message changes.
	Quiet bool `cbor:"u,omitempty"`
}

// AnswerKind says what kind of answer it is.
type AnswerKind string

// The kinds of answer.
const (
	Done       AnswerKind = "done"       // Verb was done to Batch
	Already    AnswerKind = "already"    // it was done before, by Who at At
	Ask        AnswerKind = "ask"        // Code asks, Choices answer
	Refuse     AnswerKind = "refuse"     // Code says why
	Stop       AnswerKind = "stop"       // a charger above the count
	Board      AnswerKind = "board"      // what is in every vessel
	Helping    AnswerKind = "help"       // what can be done now
	Unread     AnswerKind = "unread"     // Problem
	Unclear    AnswerKind = "unclear"    // Question
	Impossible AnswerKind = "impossible" // Plan
	// GlassAnswer says what is in the glass: Glass or NoGlass.
	GlassAnswer AnswerKind = "glass"
	Figured     AnswerKind = "figured" // the figures behind Batch: Why
	OpenForm    AnswerKind = "form"    // Form is to be filled in
	Saved       AnswerKind = "saved"   // Title of the book is changed by Form: the kitchen's edit number N
)

// FormName names a form.
type FormName string

// The forms.
const (
	FormStart   FormName = "start"   // recipe, volume, vessel: start a batch
	FormReading FormName = "reading" // correct how a line was read; Line is what stands
	// The forms that change the book. FormChoose chooses which entry; its Line
	// names the form by which that changes. Of the others Line is the entry's
	// name, empty for a new one, and N the number of its latest edit.
	FormChoose FormName = "choose"
	FormRecipe FormName = "recipe"
	FormVessel FormName = "vessel"
	FormPrice  FormName = "price"
	FormHouse  FormName = "house"
)

// Code says what is asked or why something is refused.
type Code string

// What is asked, once.
const (
	AskTakeOver   Code = "take over"       // somebody else's batch
	AskOneMore    Code = "one more"        // an old charge button
	AskEmptied    Code = "emptied"         // a later step was told; is it vented and silent?
	AskStrained   Code = "strained"        // a later step was told; are the solids out?
	AskCleared    Code = "cleared"         // a label was told while it stands to clear
	AskNoCount    Code = "nothing counted" // vented, but no charger was counted
	AskGasAgain   Code = "gas again"       // a charge told of a vessel that was emptied
	AskReallyGone Code = "scrap"           // scrap a batch under way
	// AskStillOn: Who asked at At to start Title (Volume, Vessel if one was named,
	// the whole Line), and it reached us only now: is it still wanted?
	AskStillOn Code = "still on"
	AskHowMany Code = "how many"   // chargers went in beyond the count
	AskAgain   Code = "again"      // Who started Title At: the same, or one of those on the buttons?
	AskNever   Code = "not lately" // Title was not started lately: as the book has it?
	// AskHeld: Vessel is held for Who, who was asked back At: take it all the same?
	AskHeld Code = "held"
	// N chargers of cream in Vessel: it is not washed; may not be used;
	// takes Of at most; its line is at Volume. Are they in all the same?
	AskCreamDirty Code = "cream dirty"
	AskCreamUnfit Code = "cream unfit"
	AskCreamOver  Code = "cream over"
	AskCreamLine  Code = "cream line"
	AskCreamMany  Code = "cream many" // how many chargers are in the cream of Vessel?
)

// Why something is refused.
const (
	RefuseOccupied  Code = "occupied"   // Vessel holds Title, Who since At
	RefuseDirty     Code = "dirty"      // Vessel waits to be washed
	RefuseNotYet    Code = "not yet"    // the batch is still in Phase
	RefuseTooEarly  Code = "too early"  // claimed before the step before it, At
	RefuseTooLong   Code = "too long"   // the rest would go over its longest
	RefuseHolding   Code = "holding"    // the vessel still holds a batch
	RefuseNothing   Code = "nothing"    // nothing to do it to
	RefuseUndoGas   Code = "undo gas"   // facts of gas are corrected, not undone
	RefuseUndoLate  Code = "undo late"  // more than ten minutes ago, or nothing to undo
	RefuseUndoUsed  Code = "undo used"  // the vessel is in use since
	RefuseNoDoubt   Code = "no doubt"   // nobody asked whether gas went in
	RefusePressured Code = "pressured"  // under pressure: vent first
	RefuseOldButton Code = "old button" // the batch went on since
	// RefuseForm: a form that came back without Field, or that is none of ours
	// (no Field): open it again and fill it in.
	RefuseForm Code = "form"
	// RefuseNoStart: Line (of Field) was to start a batch, and says something
	// else: Verb. As a correction it changes nothing; it can be typed by itself.
	RefuseNoStart Code = "no start"
	RefuseCounted Code = "counted"  // N are counted already: the count never falls
	RefuseCream   Code = "cream"    // Vessel is kept charged with Title, by Who since At: empty it first
	RefuseCalled  Code = "called"   // the rest is over: vent first
	RefusePause   Code = "pause"    // nothing can be held
	RefuseNoAgain Code = "no again" // nothing was started lately
	RefuseShift   Code = "shift"    // vessels of one's own are under pressure: Batches
	// Of the forms that change the book.
	RefuseManager  Code = "manager"   // only managers may
	RefuseNoEntry  Code = "no entry"  // the book has no Title
	RefuseTwice    Code = "twice"     // it has a Title already
	RefuseOldForm  Code = "old form"  // Title was changed since, by Who at At
	RefuseInUse    Code = "in use"    // Vessel holds Title
	RefuseNever    Code = "never"     // Title is never infused here
	RefuseNoClass  Code = "no class"  // the book has no class for Title in that base
	RefuseValue    Code = "value"     // Field is not written like Line
	RefuseHeat     Code = "heat"      // too hot for a vessel that is charged
	RefuseEntry    Code = "entry"     // Title does not go with the rest of the book
	RefuseSame     Code = "same"      // nothing of Title is changed
	RefuseBookFull Code = "book full" // it is time to write the changes into the file
)

// Choice is one button of a question.
type Choice struct {
	Code ChoiceCode `cbor:"c"`
	N    int        `cbor:"n,omitempty"`
	Tap  Tap        `cbor:"t"`
}

// ChoiceCode names a button; the room voice holds its words.
type ChoiceCode string

// The buttons of questions.
const (
	ChooseTake     ChoiceCode = "take"      // take over, and do it
	ChooseYes      ChoiceCode = "yes"       // as asked
	ChooseCharger  ChoiceCode = "charger"   // charger N did go in
	ChooseCounted  ChoiceCode = "counted"   // N chargers went in, and it is empty now
	ChooseGasIn    ChoiceCode = "gas in"    // gas went in
	ChooseNoGas    ChoiceCode = "no gas"    // none did
	ChooseNotMine  ChoiceCode = "not mine"  // the tap was for another vessel
	ChooseNow      ChoiceCode = "now"       // start it now
	ChooseTakeOver ChoiceCode = "take over" // take the batch over
	ChooseOffer    ChoiceCode = "offer"     // have somebody else take it
	ChooseMore     ChoiceCode = "more"      // N chargers went in too many
	ChooseInAll    ChoiceCode = "in all"    // N are in altogether
	ChooseLine     ChoiceCode = "line"      // the line on the button
	ChooseWhich    ChoiceCode = "which"     // it is this vessel
	ChooseStillGas ChoiceCode = "still gas" // a vessel that was told empty is not
	ChooseNotUsed  ChoiceCode = "not used"  // the charger is still in the box
	ChooseCream    ChoiceCode = "cream"     // N chargers went into cream
	ChooseSpent    ChoiceCode = "spent"     // the solids gave all they had
	ChooseReuse    ChoiceCode = "good again"
	ChooseHeld     ChoiceCode = "held" // take a vessel that is held
)

// EncodeAnswer gives an answer as it is kept.
func EncodeAnswer(a Answer) []byte {
	a.V = version
	return encode(a)
}

// DecodeAnswer reads a kept answer.
func DecodeAnswer(body []byte) (Answer, error) {
	var a Answer
	if err := decode(body, &a); err != nil {
		return Answer{}, fmt.Errorf("decode answer: %w", err)
	}
	return a, nil
}
