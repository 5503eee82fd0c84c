package request

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// kept is a bench with cream that is kept charged.
var keptCream = []Open{
	{Batch: 1, Title: "rhubarb gin", Vessel: "A", Phase: resting, Mine: true},
	{Batch: 2, Title: "coffee cream", Vessel: "D", Phase: KeptCharged, Mine: true},
}

// What is said of the chargers in the box, and of cream that is kept charged. The
// lines are our own; common practice, no source.
func TestLinesOfTheChargerCountAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, row := range []struct {
		line     string
		open     []Open
		language string
		want     string
	}{
		{"got 50 chargers", idle, "en", "got 50 chargers"},
		{"Got 50 bulbs!!", busy, "en", "got 50 chargers"},
		{"50 chargers came in", idle, "en", "got 50 chargers"},
		{"i got 50 chargers", busy, "en", "got 50 chargers"},
		{"delivery: 24 cartridges", idle, "en", "got 24 chargers"},
		{"chargers delivered 100", idle, "en", "got 100 chargers"},
		{"hey just got in 50 new chargers", idle, "en", "got 50 chargers"},
		{"recieved 50 chargers", idle, "en", "! unknown verb"},
		{"fifty chargers arrived", idle, "en", "got 50 chargers"},
		{"used 2 chargers for foam", busy, "en", "2 chargers for foam"},
		{"2 bulbs for whipped cream", busy, "en", "2 chargers for foam"},
		{"foam 1 charger", idle, "en", "1 chargers for foam"},
		{"put 2 chargers into foam", busy, "en", "2 chargers for foam"},
		{"counted 38 chargers", idle, "en", "counted 38 full chargers"},
		{"38 chargers in the box", busy, "en", "counted 38 full chargers"},
		{"charger count 38", idle, "en", "counted 38 full chargers"},
		{"counted 38 full ones", idle, "en", "counted 38 full chargers"},
		{"counted 0 chargers", idle, "en", "counted 0 full chargers"},
		{"counted 12 shells", idle, "en", "counted 12 shells"},
		{"12 empties", busy, "en", "counted 12 shells"},
		{"12 spent chargers in the tray", idle, "en", "! unknown verb"},
		{"counted 12 empty chargers", busy, "en", "counted 12 shells"},
		{"shells: 12", idle, "en", "counted 12 shells"},
		{"counted 38", idle, "en", "? which meant"},
		{"stock", idle, "en", "stock"},
		{"charger stock", busy, "en", "stock"},
		{"how many chargers", busy, "en", "chargers left"},
		{"cream D 2 chargers coffee cream", idle, "en", "cream in D 2 chargers coffee cream"},
		{"cream in D 1 charger", idle, "en", "cream in D 1 chargers cream"},
		{"Cream D, 300 ml, 1 bulb, vanilla cream for service", idle, "en", "cream in D 1 chargers 300ml vanilla cream"},
		{"cream D coffee cream", idle, "en", "cream in D coffee cream"},
		{"cream emptied D", keptCream, "en", "cream emptied D"},
		{"emptied the cream in D", keptCream, "en", "cream emptied D"},
		{"cream emptied", keptCream, "en", "cream emptied D"},
		{"emptied D", keptCream, "en", "vented D"}, // the kitchen knows what is in it
		{"emptied", keptCream, "en", "? which vessel"},
		{"vented the coffee cream", keptCream, "en", "vented D"},

		{"llegaron 50 cargas", idle, "es", "got 50 chargers"},
		{"han llegado 24 cápsulas", busy, "es", "got 24 chargers"},
		{"recibí 50 cartuchos", idle, "es", "got 50 chargers"},
		{"entrega de 50 cargas", idle, "es", "got 50 chargers"},
		{"2 cargas para espuma", busy, "es", "2 chargers for foam"},
		{"usé 2 cargas para la espuma", busy, "es", "2 chargers for foam"},
		{"1 carga para nata montada", idle, "es", "1 chargers for foam"},
		{"contadas 38 cargas", idle, "es", "counted 38 full chargers"},
		{"hay 38 cargas en la caja", busy, "es", "counted 38 full chargers"},
		{"conté 38 cargas llenas", idle, "es", "counted 38 full chargers"},
		{"12 cascos", idle, "es", "counted 12 shells"},
		{"contados 12 cascos", idle, "es", "counted 12 shells"},
		{"conté 12 cargas vacías", busy, "es", "counted 12 shells"},
		{"existencias", idle, "es", "stock"},
		{"nata D 1 carga nata de café", idle, "es", "cream in D 1 chargers nata de café"},
		{"nata en D 2 cargas", idle, "es", "cream in D 2 chargers nata"},
		{"vaciada la crema D", keptCream, "es", "cream emptied D"},

		{"reçu 50 cartouches", idle, "fr", "got 50 chargers"},
		{"on a reçu 50 capsules", busy, "fr", "got 50 chargers"},
		{"livraison de 24 cartouches", idle, "fr", "got 24 chargers"},
		{"2 cartouches pour la mousse", busy, "fr", "2 chargers for foam"},
		{"utilisé 2 cartouches pour la chantilly", busy, "fr", "2 chargers for foam"},
		{"compté 38 cartouches", idle, "fr", "counted 38 full chargers"},
		{"38 cartouches dans la boîte", busy, "fr", "counted 38 full chargers"},
		{"j'ai compté 38 cartouches pleines", idle, "fr", "counted 38 full chargers"},
		{"12 coques", idle, "fr", "counted 12 shells"},
		{"compté 12 cartouches vides", busy, "fr", "counted 12 shells"},
		{"assez de cartouches", idle, "fr", "stock"},
		{"crème D 1 cartouche crème café", idle, "fr", "cream in D 1 chargers crème café"},
		{"crème dans D 2 capsules", idle, "fr", "cream in D 2 chargers crème"},
		{"crème vidée D", keptCream, "fr", "cream emptied D"},
	} {
		c := Context{Book: house(), Now: evening, Open: row.open}
		got := r.Read(row.line, c)
		said := ""
		switch {
		case got.Request != nil:
			said = got.Request.String()
			if diff := cmp.Diff(got.Request, r.Read(said, c).Request); diff != "" {
				t.Errorf("%q reads back otherwise (-said +read):\n%s", said, diff)
			}
		case got.Problem != nil:
			said = "! " + string(got.Problem.Code)
		default:
			said = "? " + string(got.Question.Code)
		}
		if said != row.want || got.Language != row.language {
			t.Errorf("%q reads as %q in %q, want %q in %q", row.line, said, got.Language, row.want, row.language)
		}
		if err := checkReading(r, row.line, c); err != nil {
			t.Error(err)
		}
	}
}

// What is told of a vessel, or of the first charger, is no word about the box.
func TestWhatIsInAVesselIsNotInTheBox(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, line := range []string{
		"got the charger in", "got B", "I've got B", "put 2 chargers in A", "2 chargers in A", "got a charger in A", "cream with coffee beans 400 cold",
		"coffee cream 400", "cream w coffee beans 400 cold", "a foam over", "foamed over", "how many chargers did we get", "no chargers for foam",
		"what's in stock", "counted", "put 3 chargers in all in A", "got 2 chargers in", "foam everywhere", "used 3 not 2 on A",
	} {
		g := r.Read(line, Context{Book: house(), Now: evening, Open: busy})
		if g.Request == nil {
			continue
		}
		switch g.Request.Verb {
		case Got, Foam, Counted, Shells, Cream:
			t.Errorf("%q reads as %q", line, g.Request)
		}
	}
}
