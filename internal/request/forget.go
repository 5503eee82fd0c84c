package request

import (
	"regexp"
	"strings"

	"ventbell/internal/book"
)

// forgetting is one way to ask that somebody is forgotten, in one language.
type forgetting struct {
	code string
	form *regexp.Regexp
}

// forgets are how somebody asks to be forgotten, or a manager that somebody is.
// Only a whole line counts: "don't forget me" asks for something else. Common
// practice, no source.
var forgets = func() []forgetting {
	const (
		who    = `<?@([^\s<>|@,;!?]+)(?:\|[^>]*)?>?`
		please = `(?:please|pls|plz|por favor|porfa|s'il te plait|s'il vous plait|svp|stp)`
	)
	var list []forgetting
	for _, f := range [][2]string{
		{"en", `(?:forget|erase|delete)(?: about| all about)? (?:` + who + `|me|my (?:name|data)|who i am)`},
		{"es", `(?:olvida|olvidar|olvide|olviden|olvidate de|borra|borrar|borre)(?: a)? (?:` + who + `|mi nombre|mis datos)`},
		{"es", `(?:olvidame|olvideme|olvidenme|borrame|borreme|olvidate de mi|olvida quien soy)`},
		{"fr", `(?:oublie|oublies|oublier|oubliez|efface|effacer|effacez|supprime) (?:` + who + `|moi|mon nom|mes donnees)`},
		{"fr", `(?:oublie|oubliez|efface|effacez|supprime)-moi`},
	} {
		list = append(list, forgetting{f[0], regexp.MustCompile(`^(?:` + please + `[ ,]*)?(?:` + f[1] + `)[ ,]*(?:` + please + `)?[ .!]*$`)})
	}
	return list
}()

// Speaker is the Person of a line that names its own speaker.
const Speaker = "me"

// forget reads a line that asks to forget somebody. A name keeps its capitals: the
// platform's ids have them.
func (l line) forget() (Reading, bool) {
	text := strings.Join(strings.Fields(l.src), " ")
	plain, from := folded(text)
	for _, f := range forgets {
		m := f.form.FindStringSubmatchIndex(plain)
		if m == nil {
			continue
		}
		who := Speaker
		if len(m) > 3 && m[2] >= 0 {
			who = text[from[m[2]]:from[m[3]]]
		}
		return Reading{Request: &Request{Verb: Forget, Person: who}, Language: f.code}, true
	}
	return Reading{}, false
}

// folded gives a text in small letters without accents, and for each of its bytes,
// and its end, the byte of the text that it stands for.
func folded(text string) (plain string, from []int) {
	var b strings.Builder
	for at, r := range text {
		small := " "
		switch {
		case isApostrophe(r):
			small = "'"
		case r != ' ':
			small = book.Fold(string(r))
		}
		b.WriteString(small)
		for range len(small) {
			from = append(from, at)
		}
	}
	return b.String(), append(from, len(text))
}

// forgetLine writes a request to forget somebody.
func forgetLine(who string) string {
	if who == Speaker {
		return "forget me"
	}
	return "forget @" + who
}
