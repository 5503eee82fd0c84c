package request

// allVerbs are the verbs that words say.
var allVerbs = []Verb{
	Start, Charged, SetDown, Vented, Strained, Cleared, Labelled, Washed, NoGas, GasIn, Why, Take, Resting, Scrap, Undo, Help,
	MoreGas, RestFor, Pause, Asks, Again, Trouble, Emergency, OnShift, OffShift, Offer,
}

// unplaced are the verbs that are about no vessel's batch.
var unplaced = map[Verb]bool{Start: true, Resting: true, Help: true, Asks: true, Again: true, Trouble: true, Emergency: true, OnShift: true, OffShift: true}
