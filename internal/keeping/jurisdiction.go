package keeping

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

// Jurisdiction is what the law of one country or state says that bears on
// keeping and telling. It is no legal advice: the code that a place has adopted
// and its inspector always win.
type Jurisdiction struct {
	Code   string // ISO 3166: "BE", "US", "US-IL"
	Region Region
	// Known says that the rules of the place itself were looked for and are
	// below; otherwise only those of its region are.
	Known bool
	// CapDays is the last day of a house infusion of alcohol, the day made being
	// day one; 0 = no figure.
	CapDays    int
	Allergens  Law
	MostChill  quantity.Temperature // the law's own; ours is 5 °C everywhere; 0 = no figure
	MostBatch  quantity.Volume      // per container of an infusion; 0 = no figure
	Approval   bool                 // premixing only with approval
	WarmFlag   bool                 // heating an infusion may count as manufacturing
	Stimulants bool                 // added stimulants are barred from infusions
	FullLabel  bool                 // packed here before it is chosen: full ingredients, allergens emphasised
	Rules      []Rule
}

// Rule is one rule of a place and where it stands.
type Rule struct {
	Code   Code
	Source Source
}

// Region is whose common law a place is under.
type Region string

// The regions.
const (
	UnitedStates  Region = "US"
	Europe        Region = "EU" // and the EEA
	UnitedKingdom Region = "GB"
	Elsewhere     Region = "elsewhere"
	Unsaid        Region = "" // the house has not said where it is
)

// shortestCap is the shortest cap of any state that has one. It counts until a
// house has said where it is, or which state.
const shortestCap = 21

var euStates = []string{
	"AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
	"MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK", "IS", "LI", "NO",
}

var usStates = strings.Fields(`AK AL AR AZ CA CO CT DC DE FL GA HI IA ID IL IN KS KY LA MA MD ME MI MN MO MS MT NC ND
	NE NH NJ NM NV NY OH OK OR PA RI SC SD TN TX UT VA VT WA WI WV WY`)

var federal = []Rule{
	{NoAdvanceMixing, Source{"27 CFR 31.233: no mixing in advance but for immediate orders on the premises", Verified}},
	{InfusingTolerated, Source{"TTB newsletter of 18 May 2012: not enforced against bars serving infusions; states may differ", SecondHand}},
	{PlainContainer, Source{"26 USC 5301(c): nothing added to or refilled into a liquor bottle", Verified}},
}

// states holds the states whose own rules were found.
var states = map[string]Jurisdiction{
	"US-AL": {
		CapDays: 22, MostBatch: fiveGallons, Stimulants: true,
		Rules: []Rule{{GoneWithin, Source{"Alabama Code 28-3A-20.3: notify the board, gone within 22 days", Verified}}},
	},
	"US-CA": {Rules: []Rule{{InfusingAllowed, Source{"California SB 32 (2011), B&P Code 23016: flavouring on the premises", SecondHand}}}},
	"US-IL": {
		CapDays: 21,
		Rules:   []Rule{{GoneWithin, Source{"Illinois 235 ILCS 5/6-22.5: aged 14 days at most, then gone within 21; that ageing ends at the strain is our reading, ask", Verified}}},
	},
	"US-KS": {Rules: []Rule{{InfusingAllowed, Source{"Kansas 41-2658", SecondHand}}}},
	"US-NC": {
		Approval: true,
		Rules:    []Rule{{ApprovalNeeded, Source{"North Carolina 14B NCAC 15B .0507: premixing only with approval", Verified}}},
	},
	"US-OK": {
		CapDays: 21, MostBatch: fiveGallons, Stimulants: true,
		Rules: []Rule{{GoneWithin, Source{"Oklahoma 37A s.5-133: aged 14 days at most, then gone within 21; that ageing ends at the strain is our reading, ask", Verified}}},
	},
	"US-TN": {
		Stimulants: true,
		Rules:      []Rule{{InfusingAllowed, Source{"Tennessee 57-4-108: all ingredients told, no branded bottle, stays on the premises", Verified}}},
	},
	"US-VA": {
		MostBatch: 20 * quantity.Litre,
		Rules:     []Rule{{InfusingAllowed, Source{"Virginia 3VAC5-50-60(F): 20 l at most, records kept", SecondHand}}},
	},
	"US-WA": {
		WarmFlag: true,
		Rules:    []Rule{{WarmIsMaking, Source{"Washington: heating, fermenting or sweetening over time counts as manufacturing (LCB Bulletin 19-04)", SecondHand}}},
	},
}

// fiveGallons is five US gallons of 128 fluid ounces.
const fiveGallons = 5 * 128 * quantity.USFluidOunce

var europeanRules = []Rule{
	{OwnControls, Source{"Regulation (EC) 852/2004, art. 5: controls and records in proportion", Verified}},
	{OneStepBack, Source{"Regulation (EC) 178/2002, art. 18: one step back, one forward", Verified}},
	{TellFourteen, Source{"Regulation (EU) 1169/2011, annex II", FromMemory}},
}

var britishRules = []Rule{
	{ChillLaw, Source{"SI 2013/2996, sch. 4 para 2: 8 °C at most in England", Verified}},
	{FullLabelLaw, Source{"Food Information (Amendment) (England) Regulations 2019: prepacked for direct sale", Verified}},
	{TellFourteen, Source{"UK food information rules: fourteen allergens", Verified}},
}

// Where finds a jurisdiction by its ISO 3166 code: a country ("BE") or a state
// of the US ("US-IL"). Two letters are always a country: "IL" is Israel. A code
// that is none gives the strictest of everything, and false. Its rules may be
// shared and must not be changed.
func Where(code string) (Jurisdiction, bool) {
	code = strings.ToUpper(strings.TrimSpace(code))
	country, state, _ := strings.Cut(code, "-")
	switch {
	case country == "US" && state == "":
		return Jurisdiction{Code: code, Region: UnitedStates, CapDays: shortestCap, Allergens: NineUS, Rules: federal}, true
	case country == "US" && slices.Contains(usStates, state):
		j, known := states[code]
		j.Code, j.Region, j.Known, j.Allergens = code, UnitedStates, known, NineUS
		j.Rules = slices.Concat(federal, j.Rules)
		return j, true
	case slices.Contains(euStates, country):
		return Jurisdiction{Code: code, Region: Europe, Known: true, Allergens: FourteenEU, Rules: europeanRules}, true
	case country == "GB" && (state == "" || slices.Contains([]string{"ENG", "NIR", "SCT", "WLS"}, state)):
		return Jurisdiction{
			Code: code, Region: UnitedKingdom, Known: true, Allergens: FourteenEU,
			MostChill: 8 * quantity.Celsius, FullLabel: true, Rules: britishRules,
		}, true
	case isCountry(country) && country != "US" && country != "GB": // those two have known parts
		return Jurisdiction{Code: code, Region: Elsewhere, Allergens: FourteenEU}, true
	}
	return Jurisdiction{Code: code, CapDays: shortestCap, Allergens: FourteenEU}, false
}

// WhereIs gives the code of the place that a house says it is in.
func WhereIs(h book.House) string {
	if h.State == "" {
		return h.Country
	}
	return h.Country + "-" + h.State
}

func isCountry(code string) bool {
	return len(code) == 2 && !strings.ContainsFunc(code, func(r rune) bool { return r < 'A' || r > 'Z' })
}

// Jurisdictions gives every place whose rules or region are known, by code.
func Jurisdictions() []Jurisdiction {
	codes := append([]string{"US", "GB"}, euStates...)
	codes = slices.AppendSeq(codes, maps.Keys(states))
	var all []Jurisdiction
	for _, code := range codes {
		j, _ := Where(code)
		all = append(all, j)
	}
	slices.SortFunc(all, func(a, b Jurisdiction) int { return cmp.Compare(a.Code, b.Code) })
	return all
}

// Prompts gives what a house must still answer before it runs: where it is,
// and whether it may infuse alcohol there. What only warns stops nothing.
func Prompts(where string, licensed Answer) []Finding {
	all := placeFindings(where)
	return append(all, licenceFindings(licensed)...)
}

func licenceFindings(licensed Answer) []Finding {
	switch licensed {
	case Yes, No:
		return nil
	case Unknown:
		return []Finding{{Act: Warn, Code: AskLicence}}
	}
	return []Finding{{Act: Ask, Code: AskLicence}}
}

func placeFindings(where string) []Finding {
	j, found := Where(where)
	switch {
	case !found:
		return []Finding{{Act: Ask, Code: AskPlace, Name: where}}
	case j.Code == "US":
		return []Finding{{Act: Ask, Code: AskState}}
	case j.Known:
		return nil
	}
	all := []Finding{{Act: Warn, Code: CheckLocalLaw, Name: j.Code}}
	if j.Region == Elsewhere && slices.Contains(usStates, j.Code) {
		all = append(all, Finding{Act: Warn, Code: MeantState, Name: "US-" + j.Code})
	}
	return all
}
