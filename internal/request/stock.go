package request

import (
	"slices"
	"strconv"
	"strings"
)

// mostStock is more chargers than a kitchen's box holds; more is a slip.
const mostStock = 9999

// mostCreamed is how many chargers a line can tell of in one vessel of cream.
const mostCreamed = 8

// stockTable is what one language says of the chargers in the box. Common practice,
// no source.
type stockTable struct {
	came    []string // they came in
	counted []string // they were counted, or lie in the box
	foam    []string // they went into foam
	shells  []string // spent ones
	full    []string // that they are full, which says nothing more
	cream   []string // cream, as the first word of a line
	kept    []string // is kept charged, before or behind its vessel
}

var stockWords = map[tongue]stockTable{
	inEnglish: {
		came: []string{
			"got", "got in", "received", "delivery", "delivered", "arrived", "came in", "came", "bought", "took in", "took delivery of", "new box of", "restocked", "just in",
		},
		counted: []string{"counted", "count", "in the box", "in box", "in stock", "on the shelf", "recount", "recounted"},
		foam:    []string{"for foam", "foam", "for foams", "for whipped cream", "for the foam", "on foam", "into foam", "espuma", "for espuma"},
		shells: []string{
			"shells", "shell", "spent chargers", "empty chargers", "spent ones", "empties", "used chargers", "spent bulbs", "empty bulbs", "used bulbs", "spent cartridges", "empty cartridges", "spent", "casings",
		},
		full:  []string{"full ones", "full", "fresh", "unused"},
		cream: []string{"cream"},
		kept:  []string{"keep charged", "kept charged", "keeping charged", "for service"},
	},
	inSpanish: {
		came: []string{
			"llegaron", "llegan", "han llegado", "recibidas", "recibidos", "recibi", "hemos recibido", "entraron", "entran", "entrega", "entrega de", "pedido de", "compre", "compradas", "comprados", "trajeron",
		},
		counted: []string{"contadas", "contados", "conte", "he contado", "recuento", "conteo", "en la caja", "en caja", "hay en la caja", "hay contadas"},
		foam:    []string{"para espuma", "para espumas", "para la espuma", "en espuma", "para nata montada", "para la nata montada"},
		shells: []string{
			"cascos", "casco", "vacias", "vacios", "cargas vacias", "cargas gastadas", "cartuchos vacios", "cartuchos gastados", "capsulas vacias", "capsulas gastadas", "gastadas", "gastados", "casquillos",
		},
		full:  []string{"llenas", "llenos", "nuevas", "nuevos"},
		cream: []string{"nata", "crema"},
		kept:  []string{"queda cargada", "se queda cargada", "guardada cargada", "para el servicio"},
	},
	inFrench: {
		came: []string{
			"recu", "recue", "recues", "recus", "on a recu", "j'ai recu", "livraison", "livraison de", "livrees", "livres", "arrivees", "arrives", "sont arrivees", "achete", "rentre",
		},
		counted: []string{"compte", "comptees", "comptes", "j'ai compte", "comptage", "dans la boite", "en boite", "dans le carton", "en stock"},
		foam:    []string{"pour mousse", "pour la mousse", "pour les mousses", "pour espuma", "pour une mousse", "pour chantilly", "pour la chantilly", "en mousse"},
		shells: []string{
			"coques", "coque", "vides", "cartouches vides", "cartouches usagees", "capsules vides", "capsules usagees", "usagees", "douilles",
		},
		full:  []string{"pleines", "pleins", "neuves", "neufs"},
		cream: []string{"creme"},
		kept:  []string{"gardee chargee", "reste chargee", "garde chargee", "pour le service"},
	},
}

// addStock adds what is said of the chargers in the box.
func (lex *lexicon) addStock(t tongue) {
	w := stockWords[t]
	for _, list := range []struct {
		from []string
		is   phraseKind
	}{{w.came, cameIn}, {w.counted, wereCounted}, {w.foam, wentToFoam}, {w.shells, spentShells}, {w.full, areFull}, {w.cream, ofCream}, {w.kept, keptForService}} {
		for _, text := range list.from {
			for _, form := range forms(text) {
				e := lex.at(form, t)
				e.phrases = append(e.phrases, phrase{form, list.is})
			}
		}
	}
}

// boxed is what a line tells of the chargers in the box.
type boxed struct {
	n     int
	said  map[phraseKind]bool
	noun  bool
	place bool // something went in somewhere
}

// stock reads what is said of the chargers in the box: "got 50 chargers", "used 2
// chargers for foam", "counted 38 chargers", "counted 12 shells".
func (s *sentence) stock() (Reading, bool) {
	if r, ok := s.cream(); ok {
		return r, true
	}
	one := s.copied()
	for i := range one.toks { // "nata" of "nata montada" is a name of the book
		one.toks[i].name = false
	}
	box, ok := one.box()
	if !ok {
		return Reading{}, false
	}
	req := Request{Chargers: box.n}
	switch {
	case box.said[spentShells]:
		req.Verb = Shells
	case box.said[wentToFoam] && box.noun:
		req.Verb = Foam
	case box.said[wereCounted] && (box.noun || box.said[areFull]):
		req.Verb = Counted
	case box.said[cameIn] && box.noun && !(box.place && box.n <= mostCreamed):
		req.Verb = Got
	case box.said[wereCounted]: // of what?
		full, spent := req, req
		full.Verb, spent.Verb = Counted, Shells
		return ask(WhichMeant, string(Counted), addOption(addOption(nil, full), spent)), true
	default:
		return Reading{}, false
	}
	if i, more := one.unread(); more {
		if one.toks[i].role&denial != 0 {
			return Reading{}, false
		}
		text, at := one.said(i, i+1)
		return problem(Problem{Code: UnknownVerb, Word: text, Where: at, Example: req.String(), Another: string(ChargersFor)}), true
	}
	if s.asked || s.asks() {
		return ask(WhichMeant, string(req.Verb), addOption(nil, req)), true
	}
	return understood(req), true
}

// box reads the one number of a line and what it is of. It fails on a line that
// names a vessel, measures anything or holds a second number.
func (s *sentence) box() (boxed, bool) {
	box := boxed{said: map[phraseKind]bool{}}
	counts := 0
	for i := 0; i < len(s.toks); {
		if s.toks[i].used {
			i++
			continue
		}
		if end, is := s.stockPhrase(i); is != 0 {
			box.said[is] = true
			box.noun = box.noun || slices.ContainsFunc(s.toks[i:end], func(t token) bool { return t.role&chargerNoun != 0 })
			s.use(i, end)
			i = end
			continue
		}
		if s.is(i, chargerNoun) {
			box.noun = true
			s.use(i, i+1)
			i++
			continue
		}
		if _, n, ok := s.tagAt(i); ok && n > 0 && s.toks[i].capital && i > 0 && !s.loud {
			return box, false
		}
		a, end, ok := s.numberAt(i)
		if n, whole := a.whole(); ok && !(s.toks[i].kind == word && s.is(i, filler)) {
			if _, _, measured := s.unitAt(end); !whole || measured || n < 0 || n > mostStock {
				return box, false
			}
			box.n = int(n)
			counts++
			s.use(i, end)
			i = end
			continue
		}
		box.place = box.place || s.is(i, place|putWord)
		if s.is(i, putWord) {
			s.use(i, i+1)
		}
		i++
	}
	none := box.n == 0 && !box.said[wereCounted] && !box.said[spentShells] // nothing came, nothing went
	return box, counts == 1 && !none && len(box.said) > 0
}

// stockPhrase gives the longest phrase about the chargers in the box that stands at
// i.
func (s *sentence) stockPhrase(i int) (int, phraseKind) {
	best, is := i, phraseKind(0)
	for _, kind := range []phraseKind{spentShells, wentToFoam, wereCounted, cameIn, areFull} {
		if end, ok := s.phraseAt(i, kind); ok && end > best {
			best, is = end, kind
		}
	}
	return best, is
}

// cream reads that a vessel is kept charged with cream: "cream D 2 chargers coffee
// cream". Its words are kept as they were typed.
func (s *sentence) cream() (Reading, bool) {
	one := s.copied()
	end, ok := one.creamVessel()
	if !ok {
		return Reading{}, false
	}
	req := Request{Verb: Cream, Vessel: one.told[len(one.told)-1].text}
	amiss := -1
	var text []string
	for i := end; i < len(one.toks); {
		if one.toks[i].used {
			i++
			continue
		}
		if to, ok := one.phraseAt(i, keptForService); ok {
			i = to
			continue
		}
		a, u, to, measured := one.measureAt(i)
		switch n, whole := a.whole(); {
		case measured && u.measure == ofVolume && req.Volume == 0:
			v, fits := a.volume(u)
			if !fits {
				amiss = i
			}
			req.Volume = v
			i = to
			continue
		case measured || one.toks[i].kind == number:
			if !measured && whole && one.is(to, chargerNoun) && n >= 1 && n <= mostCreamed && req.Chargers == 0 {
				req.Chargers = int(n)
				i = to + 1
				continue
			}
			amiss = i
		case one.toks[i].kind != word:
			amiss = i
		default:
			if t := one.toks[i]; len(text) > 0 || t.role&filler == 0 {
				text = append(text, strings.ToLower(one.src[t.at:t.end]))
			}
		}
		i++
	}
	req.Text = strings.Join(text, " ")
	if req.Text == "" {
		req.Text = strings.ToLower(one.src[one.toks[0].at:one.toks[0].end])
	}
	if amiss >= 0 {
		said, at := one.said(amiss, amiss+1)
		return problem(Problem{Code: BadNumber, Word: said, Where: at, Example: req.String()}), true
	}
	if s.asked {
		return ask(WhichMeant, string(Cream), addOption(nil, req)), true
	}
	return understood(req), true
}

// creamVessel finds the vessel behind the word for cream that a line begins with.
func (s *sentence) creamVessel() (int, bool) {
	i, ok := s.phraseAt(0, ofCream)
	if !ok {
		return 0, false
	}
	for ; s.is(i, place); i++ {
	}
	for _, t := range s.told { // it was introduced: "in vessel 2"
		if t.from == i {
			return i + len(t.words), true
		}
	}
	t, n, ok := s.tagAt(i)
	if !ok || s.toks[i].role&article != 0 && !s.toks[i].capital && !s.is(i-1, place) {
		return 0, false
	}
	s.told = append(slices.Clone(s.told), t)
	return i + n, true
}

// stockLine writes what is said of the chargers in the box.
func (r Request) stockLine() string {
	n := strconv.Itoa(r.Chargers)
	switch r.Verb {
	case Got:
		return "got " + n + " chargers"
	case Foam:
		return n + " chargers for foam"
	case Counted:
		return "counted " + n + " full chargers"
	case Shells:
		return "counted " + n + " shells"
	case Emptied:
		return strings.TrimRight("cream emptied "+written(r.Vessel), " ")
	}
	line := "cream in " + written(r.Vessel)
	if r.Chargers > 0 {
		line += " " + n + " chargers"
	}
	if r.Volume > 0 {
		line += " " + millilitres(r.Volume)
	}
	return strings.TrimRight(line+" "+r.Text, " ")
}
