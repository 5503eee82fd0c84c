package request

import (
	"regexp"
	"slices"
	"strings"

	"ventbell/internal/book"
)

// traceLine is one way to say a line about lots and batch codes, word by word on
// the folded line. Its groups are "lot", "code", "vessel" and "why".
type traceLine struct {
	code  string // of its language
	verb  Verb
	topic Topic
	match *regexp.Regexp
}

// traceLines are the lines about lots and batch codes. Only a whole line counts.
// Common practice, no source.
var traceLines = func() []traceLine {
	const (
		lot  = `(?P<lot>[\pL\d][\pL\d./_-]*)`
		code = `(?P<code>\d{6}-[\pL\d-]+-\d+)`
		tag  = `(?P<vessel>[\pL\d]{1,12})`
		why  = `(?:\s*[:,;.-]+\s*(?P<why>.+)|\s+(?:because|since|por|porque|car|parce que|pour)\s+(?P<why2>.+))?`
		end  = `\s*[?.!]*$`
	)
	list := []traceLine{}
	for _, l := range []struct {
		code  string
		verb  Verb
		topic Topic
		match string
	}{
		{"en", Recall, "", `(?:please )?(?:recall|pull|take back|call back) (?:(?:the |everything (?:of|from|with) )?(?:lot|batch) )(?:no\.? |number |#)?` + lot + why},
		{"en", Recall, "", `(?:please )?(?:recall|pull|take back) (?:batch )?` + code + why},
		{"es", Recall, "", `(?:por favor )?(?:retira|retirar|retirad|retire|recupera|recuperar) (?:todo )?(?:el |del |la )?(?:lote|partida) (?:numero |n\.? )?` + lot + why},
		{"es", Recall, "", `(?:retira|retirar|retire|recupera) (?:el |la )?(?:lote |tanda )?` + code + why},
		{"fr", Recall, "", `(?:rappel|rappelle|rappeler|rappelez|retire|retirer|retirez) (?:tout )?(?:le |du |de )?lot (?:numero |n° ?|no )?` + lot + why},
		{"fr", Recall, "", `(?:rappel|rappelle|rappeler|retire|retirer) (?:le |du |de )?(?:lot )?` + code + why},

		{"en", Asks, WhereLot, `(?:where(?:'s| did| has| is| are| does) (?:the )?lot (?:no\.? |number |#)?` + lot + `(?: (?:go|gone|went|used|now))*(?: to)?|where lot ` + lot + `(?: went| go)?|what(?:'s| is| was)? (?:in|from|made (?:with|from|of)|has) lot ` + lot + `|trace lot ` + lot + `)`},
		{"es", Asks, WhereLot, `(?:(?:a )?donde (?:esta|fue|ha ido|acabo|va) (?:a parar )?el lote ` + lot + `|que (?:lleva|tiene|hay (?:del|con el)) (?:el )?lote ` + lot + `|en que (?:esta|fue|hay) el lote ` + lot + `|rastrea(?:r)? (?:el )?lote ` + lot + `)`},
		{"fr", Asks, WhereLot, `(?:ou (?:est|va|se trouve) (?:passe |alle |parti )?le lot ` + lot + `|le lot ` + lot + ` est (?:passe )?ou|qu'est-ce qui (?:contient|a) le lot ` + lot + `|trace(?:r)? (?:le )?lot ` + lot + `|qu'y a-t-il du lot ` + lot + `)`},

		{"en", Asks, TraceOf, `(?:trace|track|what happened (?:to|with|in)|history of|story of|show me|show) (?:the )?(?:batch )?` + code},
		{"es", Asks, TraceOf, `(?:rastrea|rastrear|traza|que (?:le )?paso (?:con|a|en)|historia de|historial de|muestra) (?:la |el )?(?:tanda |lote )?` + code},
		{"fr", Asks, TraceOf, `(?:trace|tracer|que s'est-il passe (?:avec|pour)|qu'est-il arrive (?:a|au)|historique de|montre) (?:le |la )?(?:lot )?` + code},
		{"en", Asks, TraceOf, `(?:trace|what happened (?:to|with|in)|history of) (?:the )?(?:batch (?:in|of) )?` + tag},
		{"es", Asks, TraceOf, `(?:que (?:le )?paso (?:con|a|en)|rastrea|historial de) (?:el |la )?` + tag},
		{"fr", Asks, TraceOf, `(?:que s'est-il passe (?:avec|dans|pour)|qu'est-il arrive (?:a|au)|historique de|tracer) (?:le |la )?` + tag},
		{"en", Asks, TraceOf, code},

		{"en", Binned, "", `(?:(?:i )?(?:binned|threw out|threw away|tossed|dumped) (?:the )?(?:batch )?` + code + `|` + code + ` (?:is )?(?:binned|in the bin|thrown out|gone))`},
		{"es", Binned, "", `(?:(?:tirado|tirada|tire|a la basura|desechado) (?:el |la )?` + code + `|` + code + ` (?:esta )?(?:tirado|tirada|a la basura|en la basura|desechado))`},
		{"fr", Binned, "", `(?:(?:j'ai )?(?:jete|jetee|mis a la poubelle) (?:le |la )?` + code + `|` + code + ` (?:est )?(?:jete|jetee|a la poubelle|mis a la poubelle))`},
	} {
		n := 0 // Go names a group once; the same one may stand in several branches
		text := regexp.MustCompile(`\(\?P<lot>|\(\?P<code>`).ReplaceAllStringFunc(l.match, func(g string) string {
			n++
			return strings.Replace(g, ">", strings.Repeat("x", n-1)+">", 1)
		})
		list = append(list, traceLine{l.code, l.verb, l.topic, regexp.MustCompile(`^\s*` + text + end)})
	}
	return list
}()

// longestTraced is how long a line about a lot is at most, in bytes, and traceWords
// are what one has in it, if no code: most lines need no further look.
const longestTraced = 400

var (
	traceWords = []string{"lot", "partida", "recall", "batch", "trac", "happened", "history", "histor", "paso", "passe", "arrive", "rastrea"}
	codeLike   = regexp.MustCompile(`\d{6}-`)
)

// hasDigit says that a word can be a lot: some digit is in it.
func hasDigit(word string) bool { return strings.ContainsAny(word, "0123456789") }

// traces reads a line about a lot or a batch code.
func (s *sentence) traces(text string) (Reading, bool) {
	if len(text) > longestTraced {
		return Reading{}, false
	}
	folded := foldLine(text)
	if !slices.ContainsFunc(traceWords, func(w string) bool { return strings.Contains(folded, w) }) && !codeLike.MatchString(folded) {
		return Reading{}, false
	}
	var best Reading
	for _, l := range traceLines {
		m := l.match.FindStringSubmatchIndex(folded)
		if m == nil {
			continue
		}
		r := Request{Verb: l.verb, Topic: l.topic}
		for i, name := range l.match.SubexpNames() {
			if name == "" || m[2*i] < 0 {
				continue
			}
			word := strings.TrimSpace(folded[m[2*i]:m[2*i+1]])
			switch name[:3] {
			case "lot":
				r.Lot = strings.TrimRight(word, ".-")
			case "cod":
				r.Code = word
			case "ves":
				r.Vessel = s.tagNamed(word)
			case "why":
				r.Text = reasonOf(text, word)
			}
		}
		switch {
		case r.Lot != "" && !hasDigit(r.Lot):
			continue
		case r.Lot == "" && r.Code == "" && r.Vessel == "":
			continue
		}
		if best.Request == nil || l.code == s.home {
			best = understood(r)
			best.Language = l.code
		}
	}
	if best.Request == nil {
		return Reading{}, false
	}
	if s.asked && best.Request.Verb != Asks { // "recall lot 7?"
		language := best.Language
		best = ask(WhichMeant, string(best.Request.Verb), addOption(nil, *best.Request))
		best.Language = language
	}
	return best, true
}

// tagNamed gives the tag of the book that a word is; empty if it is none.
func (s *sentence) tagNamed(word string) string {
	for _, v := range s.book.Vessels {
		if strings.EqualFold(v.Tag, word) {
			return v.Tag
		}
	}
	return ""
}

// reasonOf gives a reason as it was typed: the end of the line.
func reasonOf(text, folded string) string {
	runes, n := []rune(strings.TrimRight(text, " \t?.!")), len([]rune(strings.TrimRight(folded, "?.! ")))
	if n > len(runes) {
		return folded
	}
	return string(runes[max(len(runes)-n, len(runes)-mostReason):])
}

// foldLine folds a line letter by letter: case and accents go, the signs stay.
func foldLine(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch r {
		case '’', '‘':
			b.WriteByte('\'')
		case '–', '—', '‑':
			b.WriteByte('-')
		case ' ', '\t', '\u00a0':
			if b.Len() > 0 && !strings.HasSuffix(b.String(), " ") {
				b.WriteByte(' ')
			}
		default:
			if folded := book.Fold(string(r)); folded != "" {
				b.WriteString(folded)
			} else {
				b.WriteRune(r)
			}
		}
	}
	return strings.Trim(b.String(), " ¿¡")
}

// traceText writes a request about a lot or a batch code.
func (r Request) traceText() string {
	of := written(r.Vessel)
	switch {
	case r.Lot != "":
		of = "lot " + r.Lot
	case r.Code != "":
		of = r.Code
	}
	var line string
	switch {
	case r.Verb == Recall:
		line = "recall " + of
		if r.Text != "" {
			line += ": " + r.Text
		}
	case r.Verb == Binned:
		line = "binned " + of
	case r.Topic == WhereLot:
		line = "where did " + of + " go"
	default:
		line = "trace " + of
	}
	return line
}
