package book_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/quantity"
)

func TestSampleIsTheScenario(t *testing.T) {
	t.Parallel()
	b := mustParse(t, string(book.SampleYAML()))
	if diff := cmp.Diff(b, book.Sample()); diff != "" {
		t.Errorf("Sample is not what its file says:\n%s", diff)
	}
	h := b.House
	if h.Language != "en" || h.Zone != "Europe/Brussels" || h.Country != "BE" || h.Bottle != 700*ml {
		t.Errorf("the house is %+v", h)
	}

	if len(b.Recipes) < 45 {
		t.Errorf("%d recipes", len(b.Recipes))
	}
	for _, name := range []string{
		"bay vodka", "blackcurrant vinegar", "caraway vodka", "celery leaf vermouth", "coffee cream", "coffee rum",
		"dried chilli oil", "ginger gin", "hazelnut brandy", "lemongrass vodka", "pepper tequila", "pink peppercorn gin",
		"rhubarb gin", "rosemary gin", "smoky tea rum", "thyme oil", "toasted barley whisky",
	} {
		if _, there := b.Recipe(name); !there {
			t.Errorf("no %s", name)
		}
	}

	type vessel struct {
		tag                 string
		nominal, line, brim quantity.Volume
		limit               int
		insulated, nutFree  bool
	}
	var vessels []vessel
	for _, v := range b.Vessels {
		vessels = append(vessels, vessel{v.Tag, v.Nominal, v.Line, v.Brim, v.Limit, v.Insulated, v.NutFree})
	}
	wantVessels := []vessel{
		{"A", 500 * ml, 500 * ml, 710 * ml, 2, false, false},
		{"B", 500 * ml, 500 * ml, 700 * ml, 2, true, false},
		{"C", 1000 * ml, 1000 * ml, 1260 * ml, 2, false, false},
		{"D", 250 * ml, 250 * ml, 370 * ml, 1, false, true},
	}
	if diff := cmp.Diff(wantVessels, vessels, cmp.AllowUnexported(vessel{})); diff != "" {
		t.Errorf("vessels (-want +got):\n%s", diff)
	}
}

func TestSampleGivesNoFinding(t *testing.T) {
	t.Parallel()
	for _, f := range book.Check(book.Sample()) {
		t.Errorf("line %d: %s: %s", f.Line, f.Code, f)
	}
}

func TestSampleBytesCannotBeChangedFromOutside(t *testing.T) {
	t.Parallel()
	clear(book.SampleYAML())
	if _, err := book.Parse(book.SampleYAML()); err != nil {
		t.Error(err)
	}
}

func TestRhubarbGinFollowsItsCard(t *testing.T) {
	t.Parallel()
	r := recipe(t, "rhubarb gin")
	if got := r.Ratio.Of(400 * ml); got != 80*quantity.Gram {
		t.Errorf("400 ml takes %s", got)
	}
	if r.Prep != "rhubarb stalk, 5 mm, no leaf" || r.Chargers != 2 || r.Swirl != 30*time.Second || r.Rest.Target != 2*time.Minute ||
		r.Settle != 3*time.Minute || r.Contact != 20*time.Minute || r.JudgeAfter != 14*time.Minute {
		t.Errorf("the card reads %+v", r)
	}
}

func TestPepperTequilaFitsAHalfLitreAndALitreFitsNoVessel(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	r := recipe(t, "pepper tequila")
	solid, _ := b.Botanical(r.Solid)
	for _, c := range []struct {
		volume quantity.Volume
		fits   []string
	}{
		{500 * ml, []string{"A", "B", "C"}},
		{900 * ml, []string{"C"}},
		{1000 * ml, nil},
	} {
		var fits []string
		for _, v := range b.Vessels {
			if v.Holds(c.volume, solid.TrueVolume(r.Ratio.Of(c.volume))) {
				fits = append(fits, v.Tag)
			}
		}
		if diff := cmp.Diff(c.fits, fits); diff != "" {
			t.Errorf("%s fits (-want +got):\n%s", c.volume, diff)
		}
	}
}

// The rest of these are facts of the trade: common practice, no source.

func TestTwoChargersForAHalfLitreWithASwirlAfterEach(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		if b.Family(r) != book.Dairy && r.Proven == 500*ml && r.Chargers != 2 {
			t.Errorf("%s: %d chargers for a half litre", r.Name, r.Chargers)
		}
		low := 15 * time.Second
		if r.Product == book.SolidKept { // pieces that are kept break
			low = 10 * time.Second
		}
		if r.Swirl < low || r.Swirl > 40*time.Second {
			t.Errorf("%s: swirled for %s", r.Name, r.Swirl)
		}
	}
}

func TestSlicedHotFreshPepperRestsAboutOneMinute(t *testing.T) {
	t.Parallel()
	want := book.Span{Min: 45 * time.Second, Target: 60 * time.Second, Max: 90 * time.Second}
	r := recipe(t, "pepper tequila")
	if r.Rest != want || r.Contact != 3*time.Minute || r.From["rest"] != book.CommonPractice {
		t.Errorf("pepper tequila rests %+v, contact %s, from %q", r.Rest, r.Contact, r.From["rest"])
	}
	c, ok := book.Sample().ClassFor(book.Spirit, book.HotPepper)
	if !ok || c.Rest != want || c.Contact != 3*time.Minute {
		t.Errorf("its class rests %+v, contact %s", c.Rest, c.Contact)
	}
	ginger := recipe(t, "ginger gin").Rest
	if want := (book.Span{Min: 60 * time.Second, Target: 90 * time.Second, Max: 5 * time.Minute}); ginger != want {
		t.Errorf("ginger rests %+v", ginger)
	}
}

// Roasted cacao, coffee and grain go to the vent about ninety seconds after the
// last charger, some thirty of them swirling.
func TestRoastedSolidsGoToTheVentNinetySecondsAfterTheLastCharger(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	cacao, _ := b.Botanical("cacao nibs")
	c, ok := b.ClassFor(book.Spirit, cacao.Kind)
	if !ok || c.Swirl != 30*time.Second || c.Rest.Target != 60*time.Second || c.From["rest"] != book.CommonPractice {
		t.Errorf("the class swirls %s and rests %s, from %q", c.Swirl, c.Rest.Target, c.From["rest"])
	}
	for _, name := range []string{"toasted barley whisky", "coffee rum"} {
		if r := recipe(t, name); r.Swirl+r.Rest.Target != 90*time.Second {
			t.Errorf("%s goes to the vent %s after the last charger", name, r.Swirl+r.Rest.Target)
		}
	}
}

func TestAMinuteOrTwoSettlesASpirit(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"pepper tequila", "toasted barley whisky", "coffee rum", "smoky tea rum", "ginger gin"} {
		if r := recipe(t, name); r.Settle < time.Minute || r.Settle > 2*time.Minute {
			t.Errorf("%s settles %s", name, r.Settle)
		}
	}
}

func TestTwentyToThirtyMinutesOfStandingClearsACloudyBatch(t *testing.T) {
	t.Parallel()
	cleared := 0
	for _, r := range book.Sample().Recipes {
		if r.Clear == 0 {
			continue
		}
		cleared++
		if r.Clear < 20*time.Minute || r.Clear > 30*time.Minute || r.From["clear"] != book.CommonPractice {
			t.Errorf("%s stands %s, from %q", r.Name, r.Clear, r.From["clear"])
		}
	}
	if recipe(t, "toasted barley whisky").Clear == 0 || cleared == 0 {
		t.Error("toasted barley whisky does not stand to clear")
	}
}

// Dairy has to stop foaming before it runs through a sieve.
func TestTeaAndPepperAreStrainedBeforeTheySettle(t *testing.T) {
	t.Parallel()
	b := book.Sample()
	for _, r := range b.Recipes {
		solid, _ := b.Botanical(r.Solid)
		want := r.Name == "pepper tequila" || solid.Kind == book.Tea && b.Family(r) != book.Dairy
		if r.StrainFirst != want {
			t.Errorf("%s: strain first %v", r.Name, r.StrainFirst)
		}
	}
}

func TestSampleRecipesTellTheirAllergens(t *testing.T) {
	t.Parallel()
	want := map[string][]string{
		"toasted barley whisky": {"gluten"}, "hazelnut brandy": {"nuts"}, "pink peppercorn gin": {"nuts"},
		"celery leaf vermouth": {"celery", "sulphites"}, "coffee cream": {"milk"}, "sesame whisky": {"sesame"},
		"orange peel vermouth": {"sulphites"}, "strawberry wine": {"sulphites"}, "cardamom cream": {"milk"}, "black tea oat drink": {"gluten"},
		"quick cucumber pickle": {"celery", "mustard"}, "quick onion pickle": {"celery", "mustard"}, "quick radish pickle": {"celery", "mustard"},
	}
	for _, r := range book.Sample().Recipes {
		if diff := cmp.Diff(want[r.Name], r.Allergens); diff != "" {
			t.Errorf("%s (-want +got):\n%s", r.Name, diff)
		}
	}
}

func TestWhatSpoilsLivesInTheFridge(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"thyme oil", "dried chilli oil", "coffee cream", "rhubarb gin", "pepper tequila"} {
		if r := recipe(t, name); r.Storage != "fridge" {
			t.Errorf("%s lives on the %s", name, r.Storage)
		}
	}
	if r := recipe(t, "coffee cream"); !r.Gentle || r.Chargers > 2 {
		t.Errorf("coffee cream: gentle %v, %d chargers", r.Gentle, r.Chargers)
	}
}

// Water and fat in 100 g are from the USDA National Nutrient Database for
// Standard Reference, release 26, by the NDB number that the sample names. The
// densities 1.00, 0.91 and 1.5 g/ml are from memory.
func TestTrueVolumesFollowTheUSDATable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, ndb  string
		water, fat float64
	}{
		{"hot pepper", "11670", 87.74, 0.20},
		{"rhubarb", "09307", 93.61, 0.20},
		{"ginger", "11216", 78.89, 0.75},
		{"blackcurrant", "09083", 81.96, 0.41},
		{"hazelnut", "12122", 2.52, 62.40},
		{"caraway", "02005", 9.87, 14.59},
		{"dried chilli", "11962", 7.15, 5.81},
		{"thyme", "02049", 65.11, 1.68},
		{"rosemary", "02063", 67.77, 5.86},
		{"lemongrass", "11972", 70.58, 0.49},
		{"bay", "02004", 5.44, 8.36},
		{"lemon peel", "09156", 81.60, 0.30},
	} {
		s, ok := book.Sample().Botanical(c.name)
		want := c.water/1.00 + c.fat/0.91 + (100-c.water-c.fat)/1.5 // ml in 100 g, or hundredths of a ml in 1 g
		if off := s.VolumePerGram.Millilitres()*100 - want; !ok || off > 0.051 || off < -0.051 {
			t.Errorf("%s: %d µl/g, want %.2f ml in 100 g", c.name, int64(s.VolumePerGram), want)
		}
		for _, key := range []string{"water_in_100g", "fat_in_100g"} {
			if src := string(s.From[key]); !strings.HasPrefix(src, "published: USDA") || !strings.HasSuffix(src, c.ndb) {
				t.Errorf("%s: %s comes from %q", c.name, key, src)
			}
		}
	}
}

func TestWhatAManagerAnswersForSaysWhy(t *testing.T) {
	t.Parallel()
	for _, word := range []string{"gentian", "quassia", "nutmeg", "macis", "regaliz", "star anise", "borage", "St John's wort", "teucrium"} {
		if s, ok := book.Sample().Botanical(word); !ok || s.SignOff == "" || s.Refused != "" || s.Kind == "" || s.Retention == 0 {
			t.Errorf("%s: %+v", word, s)
		}
	}
	for _, r := range book.Sample().Recipes {
		if s, _ := book.Sample().Botanical(r.Solid); s.SignOff != "" {
			t.Errorf("%s is of %s, which a manager has to answer for", r.Name, s.Name)
		}
	}
}

func TestRefusedBotanicalsSayWhy(t *testing.T) {
	t.Parallel()
	refused := 0
	for _, s := range book.Sample().Botanicals {
		if s.Refused != "" {
			refused++
		}
	}
	if refused < 50 {
		t.Errorf("%d botanicals are refused", refused)
	}
	for _, word := range []string{"tobacco", "tonka", "rhubarb leaf", "Foxglove", "Japanese star anise", "cherry pit", "wild mushrooms", "activated charcoal"} {
		if s, ok := book.Sample().Botanical(word); !ok || s.Refused == "" {
			t.Errorf("%s: %+v", word, s)
		}
	}
}

func recipe(t *testing.T, name string) book.Recipe {
	t.Helper()
	r, ok := book.Sample().Recipe(name)
	if !ok {
		t.Fatalf("the sample has no %s", name)
	}
	return r
}
