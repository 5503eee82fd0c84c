package request

import (
	"regexp"
	"strings"

	"ventbell/internal/book"
)

// traceLines are the lines about lots and batch codes; their groups are "lot", "code",
// "vessel" and "why". Only a whole line counts. Common practice, no source.
var traceLines = func() wholes {
	const (
		lot  = `(?P<lot>[\pL\d][\pL\d./_–—‑-]*)`
		code = `(?P<code>\d{6}[–—‑-][\pL\d–—‑-]+[–—‑-]\d+)`
		tag  = `(?P<vessel>[\pL\d]{1,12})`
		why  = `(?:\s*[:,;.–—‑-]+\s*(?P<why>.+)|\s+(?:because|since|por|porque|car|parce que|pour)\s+(?P<why2>.+))?`
		end  = `\s*[?.!]*$`
	)
	w := wholes{hints: traceHints, also: holdsCode, most: 400}
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
		w.forms = append(w.forms, whole{l.code, l.verb, l.topic, regexp.MustCompile(`^[¿¡ ]*` + text + end)})
	}
	return w
}()

// traceHints are how a word begins in a line about a lot or what happened.
var traceHints = []string{"lot", "partida", "recall", "batch", "trac", "happened", "histor", "paso", "passe", "arrive", "rastrea"}

// holdsCode says that a line may hold a batch code, which begins with its day.
func holdsCode(src string) bool { return dayThenDash.MatchString(src) }

var dayThenDash = regexp.MustCompile(`\d{6}[–—‑-]`)

// plainDash makes hyphens of the dashes that a phone puts in their place.
var plainDash = strings.NewReplacer("–", "-", "—", "-", "‑", "-")

// hasDigit says that a word can be a lot: some digit is in it.
func hasDigit(word string) bool { return strings.ContainsAny(word, "0123456789") }

// traces reads a line about a lot or a batch code.
func (s *sentence) traces() (Reading, bool) {
	var best Reading
	for m := range traceLines.in(&s.line) {
		r := Request{Verb: m.verb, Topic: m.topic}
		for name, text := range m.groups() {
			word := plainDash.Replace(book.Fold(text))
			switch name[:3] {
			case "lot":
				r.Lot = strings.TrimRight(word, ".-")
			case "cod":
				r.Code = word
			case "ves":
				if v, is := s.book.Vessel(word); is {
					r.Vessel = v.Tag
				}
			case "why":
				r.Text = cutReason(strings.TrimRight(text, " ?.!"))
			}
		}
		switch {
		case r.Lot != "" && !hasDigit(r.Lot):
			continue
		case r.Lot == "" && r.Code == "" && r.Vessel == "":
			continue
		}
		if best.Request == nil || m.code == s.home {
			best = understood(r)
			best.Language = m.code
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
