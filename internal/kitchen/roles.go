package kitchen

import (
	"slices"

	"ventbell/internal/request"
)

// Role is what somebody is in a kitchen.
type Role string

// The roles.
const (
	Manager Role = "manager"
	Hand    Role = "hand"
	Viewer  Role = "viewer" // asks, tells of gas and raises alarms, and changes nothing else
)

// Roles lists the roles, as the columns of the table of acts.
func Roles() []Role { return []Role{Manager, Hand, Viewer} }

// RoleOf gives what somebody is. Who is named a viewer is one, manager or not a
// hand; who is from outside is one unless the house names them.
func (t Team) RoleOf(p Person) Role {
	switch {
	case t.Manages(p):
		return Manager
	case slices.Contains(t.Viewers, p.ID):
		return Viewer
	case slices.Contains(t.Hands, p.ID):
		return Hand
	case t.HandsOnly || p.Guest:
		return Viewer
	}
	return Hand
}

// Act is one thing that a person can do: a request's verb, a form, or one of the
// acts below.
type Act string

// The acts that are no verb of a request.
const (
	ActForgetMe Act = "forget me" // as Forget, of the speaker
	ActChange   Act = "change"    // ask for the form that corrects how a batch was read
	ActReplace  Act = "replace"   // put a correction in the place of a batch
	ActCallOff  Act = "call off"  // take one's own question back
)

// FormAct gives the act of asking for a form or sending it in. What a line in it
// says is an act of its own.
func FormAct(f FormName) Act { return Act("form " + string(f)) }

// grant says who may do an act: a manager, a hand, a viewer.
type grant [3]bool

const yes, not = true, false

// acts is the one table of what each role may do. Facts of gas and of safety are
// never refused, whoever tells them: they are believed when they say that there
// is gas, and asked of a hand when they say that there is none. Questions are
// free. Who may say that a vessel is empty, start, take, sign or change a record
// is of the crew; the managers alone clear a blocked vessel and change the book
// and who may do what.
var acts = map[Act]grant{
	// Asking.
	Act(request.Resting): {yes, yes, yes},
	Act(request.Help):    {yes, yes, yes},
	Act(request.Why):     {yes, yes, yes},
	Act(request.Drink):   {yes, yes, yes},
	Act(request.Asks):    {yes, yes, yes},
	// Facts of gas and of safety.
	Act(request.Charged):   {yes, yes, yes},
	Act(request.GasIn):     {yes, yes, yes},
	Act(request.MoreGas):   {yes, yes, yes},
	Act(request.Cream):     {yes, yes, yes},
	Act(request.Trouble):   {yes, yes, yes},
	Act(request.Emergency): {yes, yes, yes},
	// Leaving, and asking that somebody else does it.
	Act(request.Offer):    {yes, yes, yes},
	Act(request.Decline):  {yes, yes, yes},
	Act(request.OffShift): {yes, yes, yes},
	ActForgetMe:           {yes, yes, yes},
	ActCallOff:            {yes, yes, yes},
	// Words that a vessel holds less gas than was counted, or none.
	Act(request.Vented):  {yes, yes, not},
	Act(request.NoGas):   {yes, yes, not},
	Act(request.Emptied): {yes, yes, not},
	Act(request.Freed):   {yes, not, not},
	Act(request.Fenced):  {yes, not, not},
	// Work on a batch.
	Act(request.Start):    {yes, yes, not},
	Act(request.Again):    {yes, yes, not},
	Act(request.Take):     {yes, yes, not},
	Act(request.SetDown):  {yes, yes, not},
	Act(request.More):     {yes, yes, not},
	Act(request.RestFor):  {yes, yes, not},
	Act(request.Pause):    {yes, yes, not},
	Act(request.Strained): {yes, yes, not},
	Act(request.Cleared):  {yes, yes, not},
	Act(request.Labelled): {yes, yes, not},
	Act(request.Taste):    {yes, yes, not},
	Act(request.Scrap):    {yes, yes, not},
	Act(request.Undo):     {yes, yes, not},
	Act(request.OnShift):  {yes, yes, not},
	Act(request.Initial):  {yes, yes, not},
	ActChange:             {yes, yes, not},
	ActReplace:            {yes, yes, not},
	// Vessels, chargers, lots.
	Act(request.Washed):   {yes, yes, not},
	Act(request.DeepWash): {yes, yes, not},
	Act(request.Checked):  {yes, yes, not},
	Act(request.Withdraw): {yes, yes, not},
	Act(request.Return):   {yes, not, not},
	Act(request.Got):      {yes, yes, not},
	Act(request.Foam):     {yes, yes, not},
	Act(request.Counted):  {yes, yes, not},
	Act(request.Shells):   {yes, yes, not},
	Act(request.OpenLot):  {yes, yes, not},
	Act(request.Recall):   {yes, yes, not},
	Act(request.Binned):   {yes, yes, not},
	// The end of a day.
	Act(request.CloseList): {yes, yes, not},
	Act(request.HandOver):  {yes, yes, not},
	Act(request.Sign):      {yes, yes, not},
	Act(request.Fridge):    {yes, yes, not},
	Act(request.Cooled):    {yes, yes, not},
	// People and the book.
	Act(request.Trained): {yes, not, not},
	Act(request.Untrain): {yes, not, not},
	Act(request.Forget):  {yes, not, not},
	FormAct(FormSign):    {yes, yes, not},
	FormAct(FormStart):   {yes, yes, not},
	FormAct(FormReading): {yes, yes, yes}, // shows how a line is read
	FormAct(FormChoose):  {yes, not, not},
	FormAct(FormRecipe):  {yes, not, not},
	FormAct(FormVessel):  {yes, not, not},
	FormAct(FormPrice):   {yes, not, not},
	FormAct(FormHouse):   {yes, not, not},
}

// Acts lists the acts of the table.
func Acts() []Act {
	var list []Act
	for act := range acts {
		list = append(list, act)
	}
	slices.Sort(list)
	return list
}

// May says that a role may do an act. What is in no row a hand may.
func May(r Role, what Act) bool {
	row, known := acts[what]
	if !known {
		return r != Viewer
	}
	i := slices.Index(Roles(), r)
	return i >= 0 && row[i]
}
