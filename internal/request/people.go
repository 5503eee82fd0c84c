package request

import (
	"cmp"
	"strings"
)

// personals are the lines about who may charge and who stands at a shared tablet.
// Only a whole line counts. Common practice, no source.
var personals = func() wholes {
	const (
		letter = `[a-z]\.?`
		signed = `(?:[: ]+((?:` + letter + ` ?){1,4}))?`
	)
	w := wholes{hints: []string{"trained", "untrain", "initial", "inicial"}, also: mentions, most: 200}
	for _, f := range []struct {
		code string
		verb Verb
		form string
	}{
		{"en", Trained, `(?:` + whoNamed + ` (?:is|'s|has been|was) (?:now )?trained(?: to charge| on charging| for charging)?|` + whoNamed + ` trained(?: to charge)?)`},
		{"en", Trained, `(?:mark |name )?trained(?: to charge)?:? (?:is )?` + whoNamed + `|` + whoNamed + ` (?:can|may|is allowed to) charge(?: now)?`},
		{"en", Trained, `(?:i'm|im|i am|trained) (?:trained|me)(?: to charge)?`},
		{"en", Untrain, `` + whoNamed + ` (?:is not|isn't|isnt|'s not|is no longer|not) (?:yet )?trained(?: to charge)?(?: yet| any more| anymore)?`},
		{"en", Untrain, `(?:untrain|not trained:?) ` + whoNamed + `|` + whoNamed + ` (?:can't|cant|cannot|may not|is not allowed to|must not) charge`},
		{"en", Untrain, `(?:i'm|im|i am) not trained(?: to charge)?|not trained me`},
		{"en", Initial, `(?:my )?initials?(?: are| is)?` + signed},
		{"es", Trained, `` + whoNamed + ` (?:esta|ya esta) (?:formado|formada|capacitado|capacitada)(?: para cargar)?|` + whoNamed + ` (?:puede|sabe) cargar|(?:formado|formada|capacitado|capacitada):? ` + whoNamed},
		{"es", Untrain, `` + whoNamed + ` (?:no esta|ya no esta) (?:formado|formada|capacitado|capacitada)(?: para cargar)?|` + whoNamed + ` no (?:puede|sabe) cargar`},
		{"es", Initial, `(?:mis )?iniciales` + signed},
		{"fr", Trained, `` + whoNamed + ` est (?:forme|formee|maintenant forme|habilite|habilitee)(?: a charger| pour charger| au gaz)?|` + whoNamed + ` (?:peut|sait) charger|(?:forme|formee|habilite|habilitee):? ` + whoNamed},
		{"fr", Untrain, `` + whoNamed + ` n'est (?:pas|plus) (?:forme|formee|habilite|habilitee)(?: a charger| pour charger)?|` + whoNamed + ` ne (?:peut|sait) (?:pas|plus) charger`},
		{"fr", Initial, `(?:mes )?initiales?` + signed},
	} {
		w.forms = append(w.forms, whole{code: f.code, verb: f.verb, form: politely(f.form)})
	}
	return w
}()

// people reads a line about a person. A name keeps its capitals: the platform's
// ids have them.
func (l *line) people() (Reading, bool) {
	for m := range personals.in(l) {
		r := Request{Verb: m.verb, Person: cmp.Or(m.last(), Speaker)}
		if m.verb == Initial {
			r.Person, r.Text = "", strings.ToUpper(strings.NewReplacer(".", "", " ", "").Replace(m.last()))
		}
		return Reading{Request: &r, Language: m.code}, true
	}
	return Reading{}, false
}

// personLine writes a line about a person.
func (r Request) personLine() string {
	switch {
	case r.Verb == Initial:
		return strings.TrimRight("initials "+r.Text, " ")
	case r.Verb == Decline:
		return strings.TrimRight("someone else vent "+written(r.Vessel), " ")
	case r.Person == Speaker:
		return string(r.Verb) + " " + Speaker
	}
	return string(r.Verb) + " @" + r.Person
}

// declines are the lines by which somebody would rather not vent. "#" stands for
// the vessel. That a vessel itself does not vent is trouble: "A can't vent". Common
// practice, no source.
var declines = func() fixedTable {
	var list []fixed
	for _, f := range [][2]string{
		{"en", "can't vent #, cannot vent #, i can't vent #, i cannot vent #, i can't vent, i won't vent #, someone else #, someone else vent #, someone else vents #, " +
			"someone else vent, somebody else vent #, somebody else vents #, somebody else #, not me #, i'd rather not vent #, rather not vent #, i don't want to vent #, " +
			"don't want to vent #, i'm not venting #, not me, someone else, somebody else, i can't do #, can't do #"},
		{"es", "no puedo ventear #, no puedo ventilar #, no puedo purgar #, no puedo ventear, prefiero no ventear #, prefiero no ventear, no quiero ventear #, no quiero ventear, " +
			"que ventee otro #, que ventee # otro, que lo haga otro #, que lo haga otro, otra persona #, otra persona, yo no ventee #, yo no #, mejor otro #, mejor otro"},
		{"fr", "je ne peux pas vider #, je peux pas vider #, peux pas vider #, je ne peux pas purger #, je ne peux pas degazer #, je peux pas degazer #, je ne peux pas vider, " +
			"je prefere ne pas vider #, je prefere ne pas vider, je ne veux pas vider #, je veux pas vider #, quelqu'un d'autre #, quelqu'un d'autre, quelqu'un d'autre vide #, " +
			"pas moi #, pas moi, un autre vide #"},
	} {
		list = append(list, fixedOf(f[0], Decline, "", f[1])...)
	}
	return tableOf(list)
}()

// decline reads a line by which somebody would rather not vent. No reason is read,
// and none is asked for.
func (s *sentence) decline() (Reading, bool) {
	for f := range declines.among(s.toks) {
		r, _, ok := s.reads(f)
		if !ok || s.asked {
			continue
		}
		reading := understood(r)
		if r.Vessel == "" {
			reading = (&step{sentence: s, req: r}).choose()
		}
		reading.Language = f.code
		return reading, true
	}
	return Reading{}, false
}
