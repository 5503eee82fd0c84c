package app

import (
	"errors"
	"fmt"

	"ventbell/internal/book"
	"ventbell/internal/keeping"
)

// placeWords says what a house must answer, or should look at, before it
// infuses for guests.
var placeWords = map[keeping.Code]string{
	keeping.AskPlace:      "house: the country is not known; say `country: BE`, or the code of yours",
	keeping.AskState:      "house: the state decides what may be infused and how long it keeps; say `state: CA`, or yours",
	keeping.AskLicence:    "house: may a house infuse alcohol where you are? ask the authority and say `licensed: yes` or `licensed: no`",
	keeping.CheckLocalLaw: "house: nothing is known of the rules in %s; ask the authority",
	keeping.MeantState:    "house: %s would be a state of the US; if it is meant, say `country: US` with that state",
}

// placeFindings gives what the book leaves open about the place; must says
// that the service does not start without the answer.
func placeFindings(b *book.Book) (said []string, must bool) {
	for _, f := range keeping.Prompts(keeping.WhereIs(b.House), keeping.Answer(b.House.Licensed)) {
		words, known := placeWords[f.Code]
		if !known {
			words = "house: " + string(f.Code) + " %s"
		}
		if f.Name != "" {
			words = fmt.Sprintf(words, f.Name)
		}
		said = append(said, words)
		must = must || f.Act == keeping.Ask
	}
	return said, must
}

// mayServe refuses to serve while the house has not said where it is and
// whether house infusions are licensed there.
func mayServe(b *book.Book) error {
	said, must := placeFindings(b)
	if !must {
		return nil
	}
	errs := []error{errors.New("the book leaves open what the law of the place decides")}
	for _, words := range said {
		errs = append(errs, errors.New(words))
	}
	return errors.Join(errs...)
}
