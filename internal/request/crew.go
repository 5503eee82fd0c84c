package request

// The verbs of the crew's own truth: vessels, chargers, closing, tracing, people.
const (
	Withdraw Verb = "withdraw" // take Vessel out of use; Text says why
	Return   Verb = "return"   // and back into use
	Checked  Verb = "checked"  // the gasket and valve of Vessel were looked at
	Freed    Verb = "freed"    // blocked Vessel: gas was heard to flow, then two presses were silent
	Fenced   Verb = "fenced"   // blocked Vessel: cold, tagged, fenced off, its maker called
	DeepWash Verb = "deep wash"

	Got     Verb = "got"     // Chargers came in
	Foam    Verb = "foam"    // Chargers went into foam or the like, in no batch
	Counted Verb = "counted" // Chargers full ones lie in the box
	Shells  Verb = "shells"  // Chargers spent ones were counted
	Cream   Verb = "cream"   // Vessel is kept charged for service, with Chargers; Text says of what
	Emptied Verb = "emptied" // the cream of Vessel is gone: gas was heard, then two presses were silent

	CloseList Verb = "closing"   // the closing list
	HandOver  Verb = "hand over" // the same between two shifts
	Sign      Verb = "sign"      // sign the list
	Fridge    Verb = "fridge"    // a fridge reads Temp
	Cooled    Verb = "cooled"    // what was made hot, of Vessel, reads Temp

	OpenLot Verb = "lot"    // Base is from Lot from now on
	Recall  Verb = "recall" // of Lot or Code; Text says why
	Binned  Verb = "binned" // the batch of Code is gone
	Forget  Verb = "forget" // Person is to be forgotten

	Trained Verb = "trained"     // Person may charge vessels
	Untrain Verb = "not trained" // and may not
	Decline Verb = "decline"     // the speaker will not vent Vessel, and need not say why
	Initial Verb = "initials"    // who works at a shared tablet for this shift: Text
)

// The topics of the crew's own truth.
const (
	WhereLot  Topic = "where lot" // where Lot went
	StockLeft Topic = "stock"     // how many chargers there are and what tonight needs
	OnNow     Topic = "who is on" // who is on shift
	Register  Topic = "vessels"   // the register, or Vessel's own page
	HowBrim   Topic = "brim"      // how a brim volume is measured
	TraceOf   Topic = "trace"     // everything that happened to the batch of Code, or in Vessel
)
