package keeping_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
	"ventbell/internal/quantity"
)

// The caps: Alabama Code 28-3A-20.3, 235 ILCS 5/6-22.5, Oklahoma 37A s.5-133.
// 8 °C: SI 2013/2996, schedule 4 (England). Five gallons and 20 l: the laws of
// Alabama and Oklahoma, and 3VAC5-50-60(F).
func TestWhatEachPlaceSays(t *testing.T) {
	t.Parallel()
	type said struct {
		Region     keeping.Region
		Cap        int
		Allergens  keeping.Law
		Chill      quantity.Temperature
		Batch      quantity.Volume
		Flags      string
		Found, Own bool
	}
	const us, eu, gb = keeping.UnitedStates, keeping.Europe, keeping.UnitedKingdom
	const nine, fourteen = keeping.NineUS, keeping.FourteenEU
	gallons := 18927 * quantity.Millilitre // five of 3.785411784 l
	for code, want := range map[string]said{
		"US-AL":   {us, 22, nine, 0, gallons, "stimulants", true, true},
		"US-CA":   {us, 0, nine, 0, 0, "", true, true},
		"US-IL":   {us, 21, nine, 0, 0, "", true, true},
		"us-ks":   {us, 0, nine, 0, 0, "", true, true},
		"US-NC":   {us, 0, nine, 0, 0, "approval", true, true},
		"US-OK":   {us, 21, nine, 0, gallons, "stimulants", true, true},
		"US-TN":   {us, 0, nine, 0, 0, "stimulants", true, true},
		"US-VA":   {us, 0, nine, 0, 20 * quantity.Litre, "", true, true},
		"US-WA":   {us, 0, nine, 0, 0, "warm", true, true},
		"US-NY":   {us, 0, nine, 0, 0, "", true, false},
		"US":      {us, 21, nine, 0, 0, "", true, false},
		"US-ZZ":   {"", 21, fourteen, 0, 0, "", false, false},
		"BE":      {eu, 0, fourteen, 0, 0, "", true, true},
		"BE-VLG":  {eu, 0, fourteen, 0, 0, "", true, true},
		"NO":      {eu, 0, fourteen, 0, 0, "", true, true},
		"GB":      {gb, 0, fourteen, 8 * quantity.Celsius, 0, "label", true, true},
		"GB-SCT":  {gb, 0, fourteen, 8 * quantity.Celsius, 0, "label", true, true},
		"GB-XX":   {"", 21, fourteen, 0, 0, "", false, false},
		"IL":      {keeping.Elsewhere, 0, fourteen, 0, 0, "", true, false},
		"CA-ON":   {keeping.Elsewhere, 0, fourteen, 0, 0, "", true, false},
		"":        {"", 21, fourteen, 0, 0, "", false, false},
		"Belgium": {"", 21, fourteen, 0, 0, "", false, false},
	} {
		j, found := keeping.Where(code)
		got := said{j.Region, j.CapDays, j.Allergens, j.MostChill, 0, "", found, j.Known}
		if j.MostBatch > 0 {
			got.Batch = (j.MostBatch + quantity.Millilitre/2) / quantity.Millilitre * quantity.Millilitre
		}
		for flag, set := range map[string]bool{"stimulants": j.Stimulants, "approval": j.Approval, "warm": j.WarmFlag, "label": j.FullLabel} {
			if set {
				got.Flags += flag
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%q: %s", code, diff)
		}
	}
}

func TestEveryPlaceListedIsFoundAndHasItsRules(t *testing.T) {
	t.Parallel()
	all := keeping.Jurisdictions()
	for i, j := range all {
		again, found := keeping.Where(j.Code)
		if diff := cmp.Diff(j, again); diff != "" || !found {
			t.Errorf("%s: %s", j.Code, diff)
		}
		if i > 0 && all[i-1].Code >= j.Code {
			t.Errorf("%s stands after %s", j.Code, all[i-1].Code)
		}
		if len(j.Rules) == 0 || j.Allergens == "" {
			t.Errorf("%s has no rules or no list of allergens", j.Code)
		}
		for _, r := range j.Rules {
			if r.Code == "" || r.Source.Text == "" || r.Source.Tag == "" {
				t.Errorf("%s has a bare rule: %+v", j.Code, r)
			}
		}
	}
	if len(all) != 1+1+30+9 {
		t.Errorf("%d places", len(all))
	}
}

func TestAHouseIsAskedWhereItIsAndForItsLicence(t *testing.T) {
	t.Parallel()
	type said struct {
		act  keeping.Act
		code keeping.Code
		name string
	}
	const ask, warn = keeping.Ask, keeping.Warn
	for _, w := range []struct {
		where    string
		licensed keeping.Answer
		want     []said
	}{
		{"BE", keeping.Yes, nil},
		{"US-IL", keeping.No, nil},
		{"", "", []said{{ask, keeping.AskPlace, ""}, {ask, keeping.AskLicence, ""}}},
		{"Atlantis", keeping.Yes, []said{{ask, keeping.AskPlace, "Atlantis"}}},
		{"US", keeping.Yes, []said{{ask, keeping.AskState, ""}}},
		{"US-NY", keeping.Unknown, []said{{warn, keeping.CheckLocalLaw, "US-NY"}, {warn, keeping.AskLicence, ""}}},
		{"JP", keeping.Yes, []said{{warn, keeping.CheckLocalLaw, "JP"}}},
		{"IL", keeping.Yes, []said{{warn, keeping.CheckLocalLaw, "IL"}, {warn, keeping.MeantState, "US-IL"}}},
	} {
		var got []said
		for _, f := range keeping.Prompts(w.where, w.licensed) {
			got = append(got, said{f.Act, f.Code, f.Name})
		}
		if !slices.Equal(got, w.want) {
			t.Errorf("%q, %q: %v, want %v", w.where, w.licensed, got, w.want)
		}
	}
}

func TestAHouseIsWhereItsBookSays(t *testing.T) {
	t.Parallel()
	for want, h := range map[string]book.House{
		"BE": {Country: "BE"}, "US-IL": {Country: "US", State: "IL"}, "": {},
	} {
		if got := keeping.WhereIs(h); got != want {
			t.Errorf("%+v is in %q", h, got)
		}
	}
}
