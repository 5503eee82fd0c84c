package request

import (
	"regexp"
	"slices"
	"strings"

	"ventbell/internal/quantity"
)

// dayLines are the lines of the end of a day, beside the list itself. Only a whole
// line counts; a temperature may stand anywhere in it. Common practice, no source.
var dayLines = func() fixedTable {
	var list []fixed
	for _, f := range []struct {
		code  string
		verb  Verb
		lines string
	}{
		{"en", Sign, "sign*, sign list, sign closing, sign closing list, sign day, sign off, sign off list, sign off closing, sign off closing list, sign off day, sign because*, sign anyway*, sign anyway because*, sign off because*, " +
			"i sign*, i sign because*, signed the list, sign out the day"},
		{"es", Sign, "firma*, firmar*, firmo*, firma lista, firma la lista, firmar la lista, firmo la lista, firma el cierre, firmar el cierre, firmo el cierre, firma porque*, firmo porque*, firmar porque*, " +
			"firma igual porque*, firma la lista de cierre, firmado el cierre"},
		{"fr", Sign, "signe*, signer*, je signe*, signe la liste, signer la liste, je signe la liste, signe la fermeture, signer la fermeture, je signe la fermeture, signe parce que*, " +
			"je signe parce que*, signer parce que*, signe car*, je signe car*, signe quand meme*"},
		{"en", HandOver, "hand over shift, hand over the shift, hand the shift over, shift handover, shift hand over, handover, handover list, hand over list, shift change, shift change list, handing over shift, handing the shift over, changing shifts, change of shift"},
		{"es", HandOver, "cambio de turno, relevo, relevo de turno, entrega de turno, entrego turno, entrego el turno, paso turno, paso el turno, entregar el turno, pasar el turno, lista de relevo, traspaso de turno"},
		{"fr", HandOver, "passation, la passation, passation de service, changement d'equipe, releve, la releve, releve d'equipe, changement de service, je passe le service, passer le service, liste de passation, transmission, transmissions"},
		{"en", Fridge, "fridge, fridge temp, fridge temperature, fridge at, fridge is at, fridge reads, fridge shows, fridge log, walk-in, walk in, walk-in at, walk in at, walk in fridge, walk-in fridge, cooler, cooler at, cold room, cold room at, " +
			"temp of fridge, temperature of fridge, fridge check, fridge thermometer, fridge thermometer reads"},
		{"es", Fridge, "nevera, la nevera, nevera a, la nevera a, la nevera esta a, nevera esta a, nevera marca, la nevera marca, frigo, el frigo a, frigo a, frigorifico, frigorifico a, heladera, heladera a, camara, camara a, camara fria, camara fria a, refrigerador, refrigerador a, temperatura de la nevera, temperatura nevera"},
		{"fr", Fridge, "frigo, le frigo, frigo a, le frigo a, le frigo est a, frigo est a, frigo affiche, le frigo affiche, refrigerateur, refrigerateur a, chambre froide, chambre froide a, la chambre froide est a, temperature du frigo, temperature frigo, temp frigo"},
		{"en", Cooled, "cooled #, # cooled, # cooled to, # cooled down to, cooled # to, cooled # down to, cooling #, cooling log #, # cooling, # is down to, # down to, # core temp, core temp #, core temp of #, cooled, cooled to, cooled down to, cooling log"},
		{"es", Cooled, "enfriado #, # enfriado, # enfriado a, enfriado # a, enfrie #, enfrie # a, # ha bajado a, # bajo a, # baja a, enfriando #, # enfriando, enfriado, enfriado a, temperatura de #"},
		{"fr", Cooled, "refroidi #, # refroidi, # refroidi a, refroidi # a, # est descendu a, # descendu a, # refroidit, refroidissement #, refroidissement de #, refroidi, refroidi a, temperature de #"},
		{"en", Binned, "binned past date, binned past dates, past date binned, binned expired, expired binned, binned everything past date, binned out of date, out of date binned, threw out past date, threw out expired"},
		{"es", Binned, "tirado lo caducado, lo caducado tirado, tire lo caducado, caducado tirado, caducados tirados, lo caducado a la basura, tirados los caducados"},
		{"fr", Binned, "perimes jetes, jete les perimes, j'ai jete les perimes, perime jete, les perimes jetes, jete le perime, les perimes a la poubelle"},
	} {
		list = append(list, fixedOf(f.code, f.verb, "", f.lines)...)
	}
	return tableOf(list)
}()

// closes reads a line of the end of a day.
func (s *sentence) closes() (Reading, bool) {
	near := slices.Collect(dayLines.among(s.toks))
	if len(near) == 0 {
		return Reading{}, false
	}
	temp, rest, degrees := s.thermometer()
	var best Reading
	fewest, own := len(s.toks)+1, s.language(s.home)
	for _, f := range near {
		one := s
		if measures(f.verb) {
			if temp == nil {
				continue
			}
			one = rest
		}
		r, left, ok := one.reads(f)
		if !ok || left > fewest || left == fewest && !rather(r, f.code == own, best) {
			continue
		}
		if measures(f.verb) && !degrees && !slices.ContainsFunc(f.words, func(w string) bool { return w != "#" && len(w) > 2 }) {
			continue
		}
		fewest = left
		switch f.verb {
		case Fridge, Cooled:
			r.Temp = temp
		case Binned:
			r.Topic = Expiring
		}
		best = understood(r)
		best.Language = f.code
	}
	if best.Request == nil {
		return Reading{}, false
	}
	return s.closesIn(best)
}

// rather says that of two readings that leave as much the new one is meant: it names a
// vessel, or is in the language of the line's other words.
func rather(r Request, own bool, than Reading) bool {
	if than.Request == nil || (r.Vessel != "") != (than.Request.Vessel != "") {
		return r.Vessel != ""
	}
	return own
}

// measures says that a verb tells a temperature.
func measures(v Verb) bool { return v == Fridge || v == Cooled }

// closesIn finds the vessel of a line that names none, and asks where it is a
// question.
func (s *sentence) closesIn(g Reading) (Reading, bool) {
	r, language := *g.Request, g.Language
	switch {
	case r.Verb == Sign && s.tellsTrouble() && slices.ContainsFunc(s.open, func(o Open) bool { return s.heldUnderGas(o.Vessel) }):
		return Reading{}, false // what is wrong under pressure comes first
	case r.Verb == Cooled && r.Vessel == "":
		g = (&step{sentence: s, req: r}).choose()
	}
	if s.asked && g.Request != nil {
		r = *g.Request
		r.Text = strings.TrimSpace(strings.NewReplacer("?", "", "？", "").Replace(r.Text))
		g = ask(WhichMeant, string(r.Verb), addOption(nil, r))
	}
	g.Language = language
	return g, true
}

// thermometer gives the one temperature of a line and the line without it; degrees
// says that a unit was said. A bare number is one of the house's own scale.
func (s *sentence) thermometer() (temp *quantity.Temperature, rest *sentence, degrees bool) {
	for i := range s.toks {
		a, u, end, ok := s.measureAt(i)
		if ok && (u.measure == ofCelsius || u.measure == ofFahrenheit) {
			return s.temperatureIn(a, u, i, end, true)
		}
	}
	own := unit{measure: ofCelsius}
	if s.book.House.Country == "US" {
		own.measure = ofFahrenheit
	}
	at := -1
	for i, t := range s.toks {
		if t.kind == number {
			if at >= 0 {
				return nil, nil, false
			}
			at = i
		}
	}
	if at < 0 || !s.free(at) {
		return nil, nil, false
	}
	return s.temperatureIn(s.toks[at].num, own, at, at+1, false)
}

func (s *sentence) temperatureIn(a amount, u unit, from, to int, degrees bool) (*quantity.Temperature, *sentence, bool) {
	below := s.toks[from].at > 0 && s.src[s.toks[from].at-1] == '-' && (from == 0 || s.toks[from-1].end <= s.toks[from].at-1 || s.toks[from-1].text == "-")
	if below {
		a.n = -a.n
	}
	t, ok := a.temperature(u)
	if !ok {
		return nil, nil, false
	}
	rest := s.copied()
	if below && from > 0 && rest.toks[from-1].text == "-" {
		from--
	}
	rest.toks = slices.Delete(rest.toks, from, to)
	return &t, rest, degrees
}

// shiftTo is that the shift is handed over to somebody by name.
var shiftTo = wholes{also: mentions, most: 200, forms: []whole{{verb: HandOver, form: regexp.MustCompile(
	`^(?:hand(?:ing)? over|hand over the shift|hand the shift over|shift handover|handover|entrego el turno|paso el turno|relevo|passation|je passe le service) (?:to|a|con|avec) ` + whoNamed + `[ .!]*$`)}}}

// handsTo reads that the shift is handed over to a person. A name keeps its capitals.
func (l *line) handsTo() (Reading, bool) {
	for m := range shiftTo.in(l) {
		return Reading{Request: &Request{Verb: m.verb, Person: m.last()}}, true
	}
	return Reading{}, false
}

// closingLine writes a line of the end of a day.
func (r Request) closingLine() string {
	switch r.Verb {
	case Sign:
		if r.Text != "" {
			return "sign because " + r.Text
		}
	case HandOver:
		if r.Person != "" {
			return "hand over the shift to @" + r.Person
		}
		return "hand over the shift"
	case Fridge:
		return "fridge " + tenths(int64(*r.Temp)) + "°C"
	case Cooled:
		return strings.TrimRight("cooled "+written(r.Vessel), " ") + " " + tenths(int64(*r.Temp)) + "°C"
	case Binned:
		return "binned past date"
	}
	return string(r.Verb)
}
