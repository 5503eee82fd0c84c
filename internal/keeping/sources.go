package keeping

// Tag says how well a figure or a rule is founded.
type Tag string

// The tags, best first.
const (
	Verified       Tag = "verified"    // read in the publication or in a text that adopts it
	SecondHand     Tag = "second-hand" // read in a page that reports the publication
	Computed       Tag = "computed"    // worked out here from the inputs stated
	FromMemory     Tag = "from memory" // not read again; check before it is relied on
	Estimated      Tag = "estimate"    // our own; a house's own finding beats it
	CommonPractice Tag = "common practice"
)

// Source is where a rule comes from, in a few words, and how well it is founded.
type Source struct {
	Text string
	Tag  Tag
}

// practice stands for a rule of the trade that nobody has published.
var practice = Source{"common practice, no source", CommonPractice}

// The model code of the US is cited as the state texts that adopt it have it:
// the code that a place has adopted always wins.
var (
	dateMarking    = Source{"FDA Food Code 3-501.17, as in Minnesota Rules 4626.0400", Verified}
	datePassed     = Source{"FDA Food Code 3-501.18, as in Georgia's rules", Verified}
	freezingStops  = Source{"FDA Food Code 3-501.17, as a Tennessee inspection record works it", Verified}
	outOfChill     = Source{"FDA Food Code 3-501.19, as in Minnesota Rules 4626.0408", Verified}
	variance       = Source{"FDA Food Code 3-502.11, as in WAC 246-215-03535", Verified}
	reducedOxygen  = Source{"FDA Food Code 3-502.12, as in Wisconsin ATCP 75", Verified}
	rawEggDrinks   = Source{"FDA Food Code 3-302.13, as in WAC 246-215-03312", Verified}
	metalsAndAcid  = Source{"FDA Food Code 4-101.14, as in Wisconsin ATCP 75", Verified}
	interaction    = Source{"FDA Food Code 1-201.10, tables A and B, as in Texas 25 TAC 228.2", Verified}
	wildMushrooms  = Source{"FDA Food Code 3-201.16", FromMemory}
	hourOrCalendar = Source{"Conference for Food Protection 2016, issue I-034: the two readings of day seven", Verified}
)

// What was read on growth in oil, spirit, vinegar and syrup.
var (
	oilFourDays    = Source{"Pacific Northwest Extension PNW 664 (2014): two to four days or freeze", Verified}
	oilIdaho       = Source{"University of Idaho Extension (2013): no more than four days", Verified}
	oilCounty      = Source{"Maricopa County chefs' questions and answers (2020): dried garlic in oil counts too", Verified}
	oilDried       = Source{"Oregon State University: dried herbs in oil need no chill", Verified}
	acidifiedTest  = Source{"Food Protection Trends 2014, 34(4):247-257: garlic and three herbs in citric acid", Verified}
	botulismSpirit = Source{"J. Food Prot. 2003, 66(4):610-617: no growth of C. botulinum from 6 % ethanol by mass", Verified}
	bacteriaSpirit = Source{"Nippon Shokuhin Kogyo Gakkaishi 1984, 31(8):531-535: bacteria stop at 9 to 11 % ethanol", Verified}
	yeastSpirit    = Source{"yeasts bear roughly 15 to 18 % by volume", FromMemory}
	vinegarHerbs   = Source{"Colorado State University 9.340: flavoured vinegars", Verified}
	vinegarMonths  = Source{"US Cooperative Extension, question 469319: three months cool, six to eight chilled", Verified}
	vinegarWeak    = Source{"Penn State Extension: wine and rice vinegar support growth more readily", Verified}
	syrupActivity  = Source{"water activity by Norrish's equation, its constant from memory", Computed}
	pressedPickle  = Source{"our estimate: a pressed pickle is crisp for its shift and is binned after three days", Estimated}
	soakedFruit    = Source{"our estimate: fruit soaked in spirit goes soft within the day", Estimated}
	teaAndCoffee   = Source{"trade article (2024) quoting a coffee educator: cold brew keeps as TCS food", SecondHand}
)
