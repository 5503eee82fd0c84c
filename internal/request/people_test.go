package request

import (
	"testing"

	"ventbell/internal/book"
)

// Lines about people: who may charge, who would rather not vent, who is on, who
// stands at a shared tablet. The readings are common practice, no source.
func TestLinesAboutPeopleAreRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, w := range []struct{ line, in, want string }{
		{"@bar-2 is trained to charge", "en", "trained @bar-2"},
		{"<@U00000003> is trained to charge", "en", "trained @U00000003"},
		{"<@W012AB|bar-2> is now trained", "en", "trained @W012AB"},
		{"@Bar-2 trained", "en", "trained @Bar-2"},
		{"@bar-2's trained to charge", "en", "trained @bar-2's"},
		{"trained @bar-2", "en", "trained @bar-2"},
		{"pls mark trained @bar-2", "en", "trained @bar-2"},
		{"@bar-2 can charge now", "en", "trained @bar-2"},
		{"@bar-2 has been trained to charge!", "en", "trained @bar-2"},
		{"I'm trained to charge", "en", "trained me"},
		{"@bar-2 is not trained", "en", "not trained @bar-2"},
		{"@bar-2 isn't trained to charge any more", "en", "not trained @bar-2"},
		{"@bar-2 is no longer trained", "en", "not trained @bar-2"},
		{"untrain @bar-2", "en", "not trained @bar-2"},
		{"@bar-2 can't charge", "en", "not trained @bar-2"},
		{"can't vent A", "en", "someone else vent A"},
		{"Can’t vent a", "en", "someone else vent A"},
		{"cant vent B pls", "en", "someone else vent B"},
		{"i can't vent B", "en", "someone else vent B"},
		{"someone else vent B please", "en", "someone else vent B"},
		{"someone else A", "en", "someone else vent A"},
		{"not me, A", "en", "someone else vent A"},
		{"i'd rather not vent A", "en", "someone else vent A"},
		{"I can't vent", "en", "someone else vent B"},
		{"not me", "en", "someone else vent B"},
		{"who is on", "en", "who is on"},
		{"who's on?", "en", "who is on"},
		{"who's on shift", "en", "who is on"},
		{"whos working tonight", "en", "who is on"},
		{"who is on B", "en", "who has B"},
		{"initials KM", "en", "initials KM"},
		{"initials: k.m.", "en", "initials KM"},
		{"my initials are jl", "en", "initials JL"},
		{"initials", "en", "initials"},

		{"@bar-2 está formada para cargar", "es", "trained @bar-2"},
		{"<@U00000003> puede cargar", "es", "trained @U00000003"},
		{"@bar-2 está capacitado", "es", "trained @bar-2"},
		{"capacitado @bar-2", "es", "trained @bar-2"},
		{"@bar-2 no está formado para cargar", "es", "not trained @bar-2"},
		{"@bar-2 no puede cargar", "es", "not trained @bar-2"},
		{"no puedo ventear A", "es", "someone else vent A"},
		{"prefiero no ventear A", "es", "someone else vent A"},
		{"que ventee otro A", "es", "someone else vent A"},
		{"otra persona B por favor", "es", "someone else vent B"},
		{"no quiero ventear", "es", "someone else vent B"},
		{"quién está de turno", "es", "who is on"},
		{"quien trabaja hoy", "es", "who is on"},
		{"iniciales km", "es", "initials KM"},
		{"mis iniciales: J.L.", "es", "initials JL"},

		{"@bar-2 est formé à charger", "fr", "trained @bar-2"},
		{"<@U00000003> peut charger", "fr", "trained @U00000003"},
		{"habilitée @bar-2", "fr", "trained @bar-2"},
		{"@bar-2 n'est pas formée", "fr", "not trained @bar-2"},
		{"@bar-2 ne peut plus charger", "fr", "not trained @bar-2"},
		{"je ne peux pas vider A", "fr", "someone else vent A"},
		{"je peux pas dégazer A", "fr", "someone else vent A"},
		{"quelqu’un d’autre A svp", "fr", "someone else vent A"},
		{"pas moi A", "fr", "someone else vent A"},
		{"je préfère ne pas vider", "fr", "someone else vent B"},
		{"qui est là", "fr", "who is on"},
		{"qui est de service ce soir ?", "fr", "who is on"},
		{"qui bosse", "fr", "who is on"},
		{"initiales km", "fr", "initials KM"},
		{"mes initiales J L", "fr", "initials JL"},
	} {
		c := Context{Now: evening, Open: two, Language: w.in}
		g := r.Read(w.line, c)
		if g.Request == nil || g.Request.String() != w.want || g.Language != w.in {
			t.Errorf("%q reads in %s as %s, want %q", w.line, g.Language, show(g), w.want)
			continue
		}
		again := r.Read(g.Request.String(), c)
		if again.Request == nil || *again.Request != *g.Request {
			t.Errorf("%q is written %q, which reads as %s", w.line, g.Request, show(again))
		}
	}
}

// What sounds alike and says something else.
func TestAVesselThatDoesNotVentIsTrouble(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, line := range []string{
		"A can't vent", "can't vent", "A won't vent", "can't vent A, it's blocked", "no ventea A", "A ne se vide pas", "can't vent A, somebody is hurt",
	} {
		if g := r.Read(line, Context{Now: evening, Open: two}); g.Request == nil || g.Request.Verb != Trouble && g.Request.Verb != Emergency {
			t.Errorf("%q reads as %s, want trouble", line, show(g))
		}
	}
	for _, line := range []string{"someone else take A", "is @bar-2 trained", "who is on B", "initials are needed on the label"} {
		g := r.Read(line, Context{Now: evening, Open: two})
		if g.Request != nil && (g.Request.Verb == Decline || g.Request.Verb == Trained || g.Request.Verb == Initial || g.Request.Topic == OnNow) {
			t.Errorf("%q reads as %s", line, show(g))
		}
	}
}
