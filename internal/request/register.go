package request

import (
	"slices"
	"strings"
)

// fixedLines are the lines of the vessel register. Only a whole line counts: the
// words mean other things elsewhere. Common practice, no source.
var fixedLines = func() fixedTable {
	var list []fixed
	for _, f := range []struct {
		code  string
		verb  Verb
		topic Topic
		lines string
	}{
		{"en", Withdraw, "", "withdraw #*, withdrawn #*, # is withdrawn*, # withdrawn*, take # out of use*, take # out of service*, took # out of service*, pull # from service*, " +
			"# is out of service*, # out of service*, # out of use*, # is out of use*, # is out of order*, # out of order*, tag # out*, tag out #*"},
		{"en", Return, "", "return #*, returned #*, # returned*, # is back in service*, # back in service*, # back in use*, put # back in service*, put # back in use*, put # back into use*"},
		{"en", Checked, "", "checked #, # checked, # is checked, # gasket checked, # gasket and valve checked, gasket checked #, valve checked #, " +
			"checked gasket and valve of #, gasket and valve checked #, gasket and valve of # checked, checked the gasket of #, checked gasket #, inspected #, # inspected, looked at gasket and valve of #"},
		{"en", Freed, "", "freed #, # freed, # is freed, unblocked #, # unblocked, # is unblocked, unclogged #, # unclogged, # is not blocked any more, # not blocked any more"},
		{"en", Fenced, "", "fenced #, fenced off #, fenced # off, # fenced, # fenced off, # is fenced off, cordoned off #, # cordoned off, # is cold tagged and fenced off, # tagged and fenced off"},
		{"en", DeepWash, "", "deep wash #, deep washed #, # deep washed, # is deep washed, deep clean #, deep cleaned #, # deep cleaned, stripped and washed #, # stripped and washed"},
		{"en", Asks, Register, "vessels, vessels #, vessel #, register, the register, vessel register, register #, vessel list, list of vessels, list the vessels, list vessels, show vessels, show the vessels, all vessels, " +
			"show vessel #, about vessel #, tell me about vessel #, details of #, history of vessel #"},
		{"en", Asks, HowBrim, "brim, brim #, brim volume, brim of #, measure brim, measure the brim, measure the brim of #, how do i measure the brim, how do i measure the brim of #, how do i measure brim, " +
			"how do we measure the brim, how do you measure the brim, how to measure the brim, how to measure brim, how do i find the brim, how do i get the brim volume, how is the brim measured, how do i measure the brim volume"},

		{"es", Withdraw, "", "retira #*, retirar #*, retirado #*, # retirado*, # esta retirado*, saca # de servicio*, saca # de uso*, # fuera de servicio*, # esta fuera de servicio*, # fuera de uso*, aparta #*"},
		{"es", Return, "", "devuelve # al servicio*, devuelve #*, devuelto #*, # devuelto*, vuelve # al servicio*, # vuelve al servicio*, # de vuelta al servicio*, # otra vez en servicio*"},
		{"es", Checked, "", "revisado #, # revisado, # esta revisado, revise #, junta y valvula revisadas #, # junta y valvula revisadas, junta revisada #, valvula revisada #, revise junta y valvula de #, comprobado #, # comprobado"},
		{"es", Freed, "", "desbloqueado #, # desbloqueado, # esta desbloqueado, desatascado #, # desatascado, # ya no esta bloqueado, desbloquee #"},
		{"es", Fenced, "", "acordonado #, # acordonado, # esta acordonado, cercado #, # cercado, aislado #, # aislado, # esta aislado, # frio etiquetado y acordonado"},
		{"es", DeepWash, "", "lavado a fondo #, # lavado a fondo, lave a fondo #, lave # a fondo, limpiado a fondo #, # limpiado a fondo, limpieza a fondo #, lavado # a fondo"},
		{"es", Asks, Register, "sifones, los sifones, registro, registro de sifones, lista de sifones, ver sifones, todos los sifones, sifon #, ficha de #, ficha del sifon #, sifones #"},
		{"es", Asks, HowBrim, "al ras, volumen al ras, medir al ras, como mido el ras, como mido el volumen al ras, como se mide el volumen al ras, como medir el volumen al ras, como medimos el volumen al ras, como se mide al ras"},

		{"fr", Withdraw, "", "retire #*, retirer #*, retirez #*, retiree #*, # retire*, # est retire*, mets # hors service*, mettre # hors service*, # hors service*, # est hors service*, sors # du service*, # hors d'usage*"},
		{"fr", Return, "", "remets # en service*, remettre # en service*, remis # en service*, # remis en service*, # de retour en service*, # est de retour en service*, rends #*, # est remis en service*"},
		{"fr", Checked, "", "verifie #, # verifie, # est verifie, joint et valve verifies #, # joint et valve verifies, joint verifie #, valve verifiee #, j'ai verifie #, controle #, # controle, joint et valve de # verifies"},
		{"fr", Freed, "", "debloque #, # debloque, # est debloque, debouche #, # debouche, # n'est plus bloque, j'ai debloque #"},
		{"fr", Fenced, "", "isole #, # isole, # est isole, mis # a l'ecart, # mis a l'ecart, # est a l'ecart, # a l'ecart, balise #, # balise, # froid marque et isole"},
		{"fr", DeepWash, "", "lave a fond #, # lave a fond, # est lave a fond, lavage a fond #, nettoye a fond #, # nettoye a fond, lavage complet #, # lavage complet"},
		{"fr", Asks, Register, "siphons, les siphons, registre, le registre, registre des siphons, liste des siphons, voir les siphons, tous les siphons, siphon #, fiche de #, fiche du siphon #, siphons #"},
		{"fr", Asks, HowBrim, "ras bord, volume a ras, volume a ras bord, mesurer a ras, comment mesurer a ras, comment mesurer le volume a ras, comment mesurer le volume a ras bord, comment je mesure le volume a ras, comment on mesure le volume a ras"},
	} {
		list = append(list, fixedOf(f.code, f.verb, f.topic, f.lines)...)
	}
	return tableOf(list)
}()

// mostReason is how many characters a reason has at most.
const mostReason = 120

// fixedLine reads a line of the vessel register. Of several that fit, the one that
// leaves the least for a reason is meant.
func (s *sentence) fixedLine() (Reading, bool) {
	var best Reading
	fewest := len(s.toks) + 1
	for f := range fixedLines.among(s.toks) {
		r, left, ok := s.reads(f)
		if !ok || left >= fewest && !(left == fewest && f.code == s.home) {
			continue
		}
		fewest = left
		best = understood(r)
		best.Language = f.code
	}
	if best.Request == nil {
		return Reading{}, false
	}
	r := *best.Request
	if r.Verb == Withdraw && s.heldUnderGas(r.Vessel) && s.tellsTrouble() {
		return Reading{}, false // what is wrong under pressure comes first
	}
	if s.asked && r.Verb != Asks { // "checked A?"
		language := best.Language
		r.Text = strings.TrimSpace(strings.NewReplacer("?", "", "？", "").Replace(r.Text))
		best = ask(WhichMeant, string(r.Verb), addOption(nil, r))
		best.Language = language
	}
	return best, true
}

// reasonFrom gives what was typed from a token on, as one line.
func (s *sentence) reasonFrom(i int) string {
	return cutReason(strings.Join(strings.Fields(strings.ToValidUTF8(s.src[s.toks[i].at:], "")), " "))
}

// cutReason gives as much of a reason as is kept.
func cutReason(text string) string {
	if r := []rune(text); len(r) > mostReason {
		return strings.TrimSpace(string(r[:mostReason]))
	}
	return text
}

// heldUnderGas says that gas may be in a vessel, as far as its batch tells.
func (s *sentence) heldUnderGas(vessel string) bool {
	return slices.ContainsFunc(s.open, func(o Open) bool {
		return o.Vessel == vessel && slices.Contains([]string{charging, resting, venting, scrapped}, o.Phase)
	})
}

// tellsTrouble says that a line tells of something wrong with a vessel.
func (s *sentence) tellsTrouble() bool {
	return slices.ContainsFunc(s.hits(), func(h hit) bool { return h.verb == Trouble })
}

// vesselLine writes a line of the vessel register.
func (r Request) vesselLine() string {
	line := strings.TrimRight(string(r.Verb)+" "+written(r.Vessel), " ")
	if r.Text != "" && (r.Verb == Withdraw || r.Verb == Return) {
		line += ": " + r.Text
	}
	return line
}
