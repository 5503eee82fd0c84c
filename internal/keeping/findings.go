package keeping

// Finding is one thing that was found about a case: what it asks for, what it
// is about and where it stands. The words for it are made elsewhere.
type Finding struct {
	Act     Act
	Code    Code
	Rule    string // row of the table, when it is about one
	Name    string // of the solid, the ingredient, the place
	Days    int
	Date    Date
	Sources []Source
}

// Act is what a finding asks for.
type Act string

// The acts, gravest first.
const (
	Refuse Act = "refuse" // it is not made, or not kept
	Ask    Act = "ask"    // a person has to answer or to look
	Limit  Act = "limit"  // only so much of it
	Warn   Act = "warn"
	Reason Act = "reason" // why the date is what it is
)

// gravity orders the acts; a higher one is graver.
var gravity = map[Act]int{Refuse: 5, Ask: 4, Limit: 3, Warn: 2, Reason: 1}

// Code names a finding or a rule.
type Code string

// What refuses.
const (
	RefusedSolid    Code = "refused solid"
	OilOnShelf      Code = "oil on the shelf"      // anything but dry plants in oil, out of the fridge
	HoneyOnShelf    Code = "allium in honey"       // out of the fridge
	RawEgg          Code = "raw egg"               // egg not said to be pasteurised
	NotLicensed     Code = "not licensed"          // house infusions of alcohol are not
	PastAtStart     Code = "past at the start"     // an ingredient's days were over before it was made
	FrozenLate      Code = "frozen late"           // it was past when it went into the freezer
	NoDaysLeft      Code = "no days left"          // thawed with its days used up
	TooLongOutChill Code = "too long out of chill" // TCS food, over four hours
)

// What asks or warns.
const (
	AskPlace          Code = "ask place"
	AskState          Code = "ask state"
	AskLicence        Code = "ask licence"
	CheckLocalLaw     Code = "check local law" // nothing is known of the place itself
	MeantState        Code = "meant a state"   // the code is a country's, and a US state's two letters
	AskManager        Code = "ask manager"     // no row lists it
	AskSolid          Code = "ask solid"       // not known: never taken as food
	AskAgent          Code = "ask agent"
	MeasureStrength   Code = "measure strength"
	MeasureAcidity    Code = "measure acidity"
	MeasurePH         Code = "measure pH"
	MeasureBrix       Code = "measure Brix"
	HeldByDeviation   Code = "held"
	OverrideBare      Code = "override bare"       // no person or no document: it does not count
	AcidifiedBare     Code = "acidified bare"      // no approval, no pH, or not a tested plant
	ApprovalNeeded    Code = "approval needed"     // by the place's law
	OverrideTooFar    Code = "override too far"    // cut to the most that the row allows
	MovedToFridge     Code = "moved to fridge"     // the shelf was asked for
	SolidNamed        Code = "solid named"         // a botanical to limit or to warn of
	StrictestTillSaid Code = "strictest till said" // the shortest cap of any state, until the place is said
)

// What decided a date, and the reasons along the way.
const (
	ByTable      Code = "table"
	ByWash       Code = "wash" // meat fat, or curd left in
	ByOverride   Code = "override"
	ByRecipe     Code = "recipe hold"
	ByLaw        Code = "law"
	ByIngredient Code = "ingredient"
	ByNoLabel    Code = "no label"
	ByOpened     Code = "opened"   // counted from an ingredient's opening
	ByBusiness   Code = "business" // counted from the shift's day, after midnight
	ByFreezing   Code = "freezing" // days in the freezer do not count
)

// The rules of places.
const (
	NoAdvanceMixing   Code = "no mixing in advance"
	InfusingTolerated Code = "infusing tolerated"
	InfusingAllowed   Code = "infusing allowed"
	PlainContainer    Code = "plain container"
	GoneWithin        Code = "gone within"
	WarmIsMaking      Code = "warm is making"
	OwnControls       Code = "own controls"
	OneStepBack       Code = "one step back"
	TellFourteen      Code = "tell fourteen"
	ChillLaw          Code = "chill law"
	FullLabelLaw      Code = "full label"
)
