package request

import (
	"testing"

	"ventbell/internal/book"
)

// What is said of vessels themselves is read in every language, however sloppily it
// is typed, and nothing else is taken for it.
func TestLinesAboutVesselsAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, w := range []row{
		{"withdraw B: gasket torn", idle, "en", "withdraw B: gasket torn"},
		{"Withdraw b gasket torn", idle, "en", "withdraw B: gasket torn"},
		{"withdraw B", idle, "en", "withdraw B"},
		{"withdraw B: leaking at the thread", idle, "en", "withdraw B: leaking at the thread"},
		{"take B out of service, dented", idle, "en", "withdraw B: dented"},
		{"take vessel C out of use pls", idle, "en", "withdraw C"},
		{"C is out of order - pin bent", idle, "en", "withdraw C: pin bent"},
		{"tag out A: dropped", idle, "en", "withdraw A: dropped"},
		{"return B: new gasket", idle, "en", "return B: new gasket"},
		{"B is back in service", idle, "en", "return B"},
		{"put C back into use: tested", idle, "en", "return C: tested"},
		{"checked B", idle, "en", "checked B"},
		{"CHECKED B", idle, "en", "checked B"},
		{"ok checked the gasket and valve of C now", idle, "en", "checked C"},
		{"b checked", idle, "en", "checked B"},
		{"checked a", idle, "en", "checked A"},
		{"checked B?", idle, "en", "? which meant checked: checked B | resting"},
		{"freed A", idle, "en", "freed A"},
		{"A is unblocked", idle, "en", "freed A"},
		{"fenced off A", idle, "en", "fenced A"},
		{"A is cold, tagged and fenced off", idle, "en", "fenced A"},
		{"deep washed B", idle, "en", "deep wash B"},
		{"B is deep washed", idle, "en", "deep wash B"},
		{"stripped and washed b pls", idle, "en", "deep wash B"},
		{"vessels", idle, "en", "vessels"},
		{"show me the vessels please", idle, "en", "vessels"},
		{"vessel A", idle, "en", "vessels A"},
		{"vessel b?", idle, "en", "vessels B"},
		{"how do I measure the brim?", idle, "en", "brim"},
		{"how do i measure the brim of C", idle, "en", "brim C"},
		{"hey how do we measure the brim", idle, "en", "brim"},

		{"retira B: junta rota", idle, "es", "withdraw B: junta rota"},
		{"el B está fuera de servicio, golpeado", idle, "es", "withdraw B: golpeado"},
		{"saca el sifón C de servicio", idle, "es", "withdraw C"},
		{"devuelve B al servicio: junta nueva", idle, "es", "return B: junta nueva"},
		{"revisado B", idle, "es", "checked B"},
		{"revisé junta y válvula de C", idle, "es", "checked C"},
		{"desbloqueado A", idle, "es", "freed A"},
		{"A ya no está bloqueado", idle, "es", "freed A"},
		{"acordonado A", idle, "es", "fenced A"},
		{"A aislado", idle, "es", "fenced A"},
		{"lavado a fondo B", idle, "es", "deep wash B"},
		{"limpieza a fondo B por favor", idle, "es", "deep wash B"},
		{"sifones", idle, "es", "vessels"},
		{"sifón A", idle, "es", "vessels A"},
		{"¿cómo mido el volumen al ras?", idle, "es", "brim"},

		{"retire B : joint déchiré", idle, "fr", "withdraw B: joint déchiré"},
		{"B est hors service, valve abîmée", idle, "fr", "withdraw B: valve abîmée"},
		{"mets C hors service", idle, "fr", "withdraw C"},
		{"remets B en service : joint neuf", idle, "fr", "return B: joint neuf"},
		{"vérifié B", idle, "fr", "checked B"},
		{"joint et valve vérifiés C", idle, "fr", "checked C"},
		{"débloqué A", idle, "fr", "freed A"},
		{"A n'est plus bloqué", idle, "fr", "freed A"},
		{"A est isolé", idle, "fr", "fenced A"},
		{"mis A à l'écart", idle, "fr", "fenced A"},
		{"lavé à fond B", idle, "fr", "deep wash B"},
		{"merci, lavage complet B", idle, "fr", "deep wash B"},
		{"les siphons", idle, "fr", "vessels"},
		{"siphon A", idle, "fr", "vessels A"},
		{"comment mesurer le volume à ras bord ?", idle, "fr", "brim"},

		// They mean something else elsewhere.
		{"start rhubarb gin 400ml in 2 vessels", idle, "en", "start rhubarb gin 400ml x2"},
		{"my vessels", idle, "en", "mine"},
		{"washed B", idle, "en", "washed B"},
		{"withdraw B: burned my hand", idle, "en", "burned B"},
		{"A is blocked", oneCharging, "en", "blocked A"},
		{"withdraw A: valve stuck", oneCharging, "en", "blocked A"}, // under pressure
	} {
		c := Context{Now: afternoon, Open: w.open}
		g := r.Read(w.line, c)
		if got := brief(g); got != w.want || g.Language != w.in {
			t.Errorf("%q with %d open\n  reads as %s %s\n  and not  %s", w.line, len(w.open), g.Language, got, w.want)
		}
		if err := checkReading(r, w.line, c); err != nil {
			t.Error(err)
		}
	}
}
