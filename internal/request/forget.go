package request

import "cmp"

// forgets are how somebody asks to be forgotten, or a manager that somebody is.
// Only a whole line counts: "don't forget me" asks for something else. Common
// practice, no source.
var forgets = func() wholes {
	w := wholes{hints: []string{"forget", "erase", "delete", "olvid", "borr", "oubli", "effac", "supprim"}}
	for _, f := range [][2]string{
		{"en", `(?:forget|erase|delete)(?: about| all about)? (?:` + whoNamed + `|me|my (?:name|data)|who i am)`},
		{"es", `(?:olvida|olvidar|olvide|olviden|olvidate de|borra|borrar|borre)(?: a)? (?:` + whoNamed + `|mi nombre|mis datos)`},
		{"es", `(?:olvidame|olvideme|olvidenme|borrame|borreme|olvidate de mi|olvida quien soy)`},
		{"fr", `(?:oublie|oublies|oublier|oubliez|efface|effacer|effacez|supprime) (?:` + whoNamed + `|moi|mon nom|mes donnees)`},
		{"fr", `(?:oublie|oubliez|efface|effacez|supprime)-moi`},
	} {
		w.forms = append(w.forms, whole{code: f[0], verb: Forget, form: politely(f[1])})
	}
	return w
}()

// Speaker is the Person of a line that names its own speaker.
const Speaker = "me"

// forget reads a line that asks to forget somebody. A name keeps its capitals: the
// platform's ids have them.
func (l *line) forget() (Reading, bool) {
	for m := range forgets.in(l) {
		who := cmp.Or(m.last(), Speaker)
		return Reading{Request: &Request{Verb: Forget, Person: who}, Language: m.code}, true
	}
	return Reading{}, false
}

// forgetLine writes a request to forget somebody.
func forgetLine(who string) string {
	if who == Speaker {
		return "forget me"
	}
	return "forget @" + who
}
