package kitchen

import (
	"slices"
	"strings"

	"ventbell/internal/request"
)

const (
	// RefuseHand: only the crew may, as Who is; a viewer asks, tells of gas and
	// raises alarms.
	RefuseHand Code = "hand"
	// RefuseSilence: that Vessel is empty is for the crew to say; they are asked,
	// Who first.
	RefuseSilence Code = "silence"
)

// claimWait is how soon the crew is asked again whether a vessel is empty (our
// choice: as for trouble that is said again).
const claimWait = troubleAgain

// role gives what the one who speaks is.
func (s *scene) role() Role { return s.Head.Team.RoleOf(s.cmd.By) }

// may says that the one who speaks may do an act.
func (s *scene) may(what Act) bool { return May(s.role(), what) }

// unread gives the act of a command that is known before any line is read; empty =
// its line says.
func (s *scene) unread() Act {
	switch t := s.cmd.Tap; {
	case s.cmd.Open != "":
		return FormAct(s.cmd.Open)
	case s.cmd.Form != nil && changesBook(FormName(s.cmd.Form.Name)):
		return FormAct(FormName(s.cmd.Form.Name))
	case t != nil && t.With == "change":
		return ActChange
	case t != nil && strings.HasPrefix(t.With, "form:"):
		return FormAct(FormName(strings.TrimPrefix(t.With, "form:")))
	}
	return ""
}

// read gives the act of a line that was read.
func (s *scene) read() Act {
	switch {
	case s.req.Verb == request.Forget && (s.req.Person == request.Speaker || s.req.Person == s.cmd.By.ID):
		return ActForgetMe
	case s.tap.With == "replace" && s.req.Verb == request.Start:
		return ActReplace
	}
	return Act(s.req.Verb)
}

// denied refuses an act that the speaker's role may not do, and says who may. It is
// asked once for each command, here and nowhere else.
func (s *scene) denied(what Act) (Answer, bool) {
	if what == "" || s.may(what) {
		return Answer{}, false
	}
	if x := s.Vessels[s.req.Vessel].Blocked; x != nil && (what == Act(request.Freed) || what == Act(request.Vented)) {
		return s.claimed(s.req.Vessel), true
	}
	a := Answer{Kind: Refuse, Code: RefuseHand, Verb: s.req.Verb, Vessel: s.req.Vessel, At: s.now, Private: true}
	if !May(Hand, what) {
		a.Code, a.Who = RefuseManager, s.somebodyWho(s.Head.Team.Managers)
		return a, true
	}
	a.Who = s.somebodyWho(s.OnShift(s.now.Time()), s.Head.People, s.Head.Team.Managers)
	if b := s.doubted(); b != nil {
		s.saidEmpty(b)
		a.Code, a.Batch, a.Vessel, a.Title, a.Who = RefuseSilence, b.ID, b.Vessel, b.Title, b.Owner
	}
	return a, true
}

// somebodyWho gives the first of these people who may do what is of the crew and
// is not the speaker; nobody if there is none.
func (s *scene) somebodyWho(lists ...[]Person) Person {
	for _, p := range slices.Concat(lists...) {
		if p.ID != s.cmd.By.ID && s.Head.Team.RoleOf(p) != Viewer {
			return p
		}
	}
	return Person{}
}

// doubted gives the batch of which a viewer says that its vessel is empty, while it
// counts as under pressure; nil if that is not what they say.
func (s *scene) doubted() *Batch {
	if s.req.Verb != request.Vented {
		return nil
	}
	if b := s.batch(); b != nil && b.Gas() > 0 {
		return b
	}
	return nil
}

// saidEmpty asks the crew whether a vessel is empty. Its gas and its calls stay as
// they are.
func (s *scene) saidEmpty(b *Batch) {
	if b.Claimed != nil && s.now.Sub(b.Claimed.Entered) < claimWait {
		return
	}
	m := s.mark()
	b.Claimed = &m
	b.Claims++
	s.log(b, "said empty")
	s.post(b, ClaimCall)
}

// answerClaim brings the questions whether a vessel is empty up to date.
func (s *scene) answerClaim(b *Batch) {
	if b.Claimed == nil {
		return
	}
	b.Claimed = nil
	for rung := uint8(1); rung <= b.Claims; rung++ {
		s.put(b, Entry{Kind: ClaimCall, Rung: rung, Due: s.now.Time(), Edit: true})
	}
}
