package request

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// closingRows are lines of the end of a day in three languages. The readings are
// common practice, no source.
var closingRows = []row{
	{"closing", idle, "en", "closing"},
	{"closing list", busy, "en", "closing"},
	{"anything left before we close", busy, "en", "closing"},
	{"sign", busy, "en", "sign"},
	{"Sign it please", busy, "en", "sign"},
	{"sign the list", idle, "en", "sign"},
	{"sign off the closing list", idle, "en", "sign"},
	{"sign off the day", idle, "en", "sign"},
	{"sign because the thermometer is broken", busy, "en", "sign because the thermometer is broken"},
	{"sign: shells go out tomorrow", idle, "en", "sign because shells go out tomorrow"},
	{"sign anyway, B drips overnight", idle, "en", "sign because B drips overnight"},
	{"sign?", idle, "en", "? which meant sign: sign | resting"},
	{"hand over the shift", busy, "en", "hand over the shift"},
	{"shift handover", busy, "en", "hand over the shift"},
	{"handover list pls", idle, "en", "hand over the shift"},
	{"change of shift", idle, "en", "hand over the shift"},
	{"hand over to <@U02BAR2>", busy, "en", "hand over the shift to @U02BAR2"},
	{"shift handover to @bar-2", busy, "en", "hand over the shift to @bar-2"},
	{"fridge 4C", idle, "en", "fridge 4°C"},
	{"Fridge is at 4.5 C", idle, "en", "fridge 4.5°C"},
	{"fridge 4", idle, "en", "fridge 4°C"},
	{"fridge temp 39 F", idle, "en", "fridge 3.9°C"},
	{"walk-in 3 degrees", idle, "en", "fridge 3°C"},
	{"4 C in the fridge", busy, "en", "fridge 4°C"},
	{"the fridge reads 9 degrees", idle, "en", "fridge 9°C"},
	{"cooled A 20C", busy, "en", "cooled A 20°C"},
	{"A cooled to 21", busy, "en", "cooled A 21°C"},
	{"A is down to 5 C", busy, "en", "cooled A 5°C"},
	{"core temp of A 18.5 c", busy, "en", "cooled A 18.5°C"},
	{"binned past date", idle, "en", "binned past date"},
	{"threw out expired", idle, "en", "binned past date"},

	{"cierre", idle, "es", "closing"},
	{"lista de cierre", busy, "es", "closing"},
	{"firma", idle, "es", "sign"},
	{"firmo el cierre", busy, "es", "sign"},
	{"firmar la lista por favor", idle, "es", "sign"},
	{"firmo porque el termómetro no va", idle, "es", "sign because el termómetro no va"},
	{"cambio de turno", busy, "es", "hand over the shift"},
	{"relevo de turno", idle, "es", "hand over the shift"},
	{"paso el turno a @bar-2", idle, "es", "hand over the shift to @bar-2"},
	{"nevera 4 grados", idle, "es", "fridge 4°C"},
	{"la nevera está a 4,5 grados", idle, "es", "fridge 4.5°C"},
	{"nevera a 6", idle, "es", "fridge 6°C"},
	{"cámara fría 3 C", idle, "es", "fridge 3°C"},
	{"enfriado A 20 grados", busy, "es", "cooled A 20°C"},
	{"A enfriado a 21", busy, "es", "cooled A 21°C"},
	{"A ha bajado a 5 grados", busy, "es", "cooled A 5°C"},
	{"tirado lo caducado", idle, "es", "binned past date"},

	{"fermeture", idle, "fr", "closing"},
	{"liste de fermeture", busy, "fr", "closing"},
	{"signe", idle, "fr", "sign"},
	{"je signe la fermeture", busy, "fr", "sign"},
	{"signer la liste svp", idle, "fr", "sign"},
	{"je signe parce que le thermomètre est cassé", idle, "fr", "sign because le thermomètre est cassé"},
	{"changement d'équipe", busy, "fr", "hand over the shift"},
	{"passation de service", idle, "fr", "hand over the shift"},
	{"passation avec @bar-2", idle, "fr", "hand over the shift to @bar-2"},
	{"frigo 4 degrés", idle, "fr", "fridge 4°C"},
	{"le frigo est à 4,5", idle, "fr", "fridge 4.5°C"},
	{"chambre froide à 3 degrés", idle, "fr", "fridge 3°C"},
	{"refroidi A 20 degrés", busy, "fr", "cooled A 20°C"},
	{"A refroidi à 21", busy, "fr", "cooled A 21°C"},
	{"A est descendu à 5 degrés", busy, "fr", "cooled A 5°C"},
	{"périmés jetés", idle, "fr", "binned past date"},
}

func TestTheEndOfADayIsRead(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, row := range closingRows {
		c := Context{Book: house(), Now: evening, Open: row.open}
		got := r.Read(row.line, c)
		if said := brief(got); said != row.want || got.Language != row.in {
			t.Errorf("%q reads as %q in %q, want %q in %q", row.line, said, got.Language, row.want, row.in)
		}
		if got.Request != nil {
			if diff := cmp.Diff(got.Request, r.Read(got.Request.String(), c).Request); diff != "" {
				t.Errorf("%q reads back otherwise (-said +read):\n%s", got.Request, diff)
			}
		}
		if err := checkReading(r, row.line, c); err != nil {
			t.Error(err)
		}
	}
}

// A fridge and a signature are no words about a batch, and a batch is none about them.
func TestWhatIsMadeIsNotTheEndOfADay(t *testing.T) {
	t.Parallel()
	r := NewReader(house())
	for _, line := range []string{
		"rhubarb gin 400 from the fridge", "pepper tequila 500ml 4C in A", "start ginger gin 400 fridge cold", "strained A 345 in the fridge", "A 20", "A 20C",
		"is A at 20 C", "signing off", "hand over B", "who signed", "hand over", "fridge", "cooled A", "the fridge is broken",
	} {
		if g := r.Read(line, Context{Book: house(), Now: evening, Open: busy}); g.Request != nil {
			switch g.Request.Verb {
			case Sign, HandOver, Fridge, Cooled, CloseList, Binned:
				t.Errorf("%q reads as %q", line, g.Request)
			}
		}
	}
}

// Trouble under pressure goes before a signature.
func TestASignatureDoesNotHideTrouble(t *testing.T) {
	t.Parallel()
	g := Read("sign, A is leaking", Context{Book: house(), Now: evening, Open: busy})
	if g.Request == nil || g.Request.Verb != Trouble {
		t.Errorf("reads as %s, want trouble", show(g))
	}
}
