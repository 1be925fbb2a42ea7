package steps

import "telltrace/scoring/ledger"

// Choices are what a step offers, Untold last; none for the rate, which is typed.
func Choices(q ledger.Question) []string {
	switch q {
	case ledger.Regularity:
		return []string{Regular, RegularBut, Irregular, Untold}
	case ledger.PWaves:
		return []string{OneEach, MoreP, SomeP, NoP, Untold}
	case ledger.PR:
		return []string{ShortPR, UsualPR, LongPR, Varies, NoPR, Untold}
	case ledger.QRS:
		return []string{Narrow, Wide, Both, Untold}
	}
	return nil
}

// Ask is a step as a question.
func Ask(q ledger.Question) string {
	switch q {
	case ledger.Rate:
		return "Rate: how many QRS a minute?"
	case ledger.Regularity:
		return "Are the QRS regular?"
	case ledger.PWaves:
		return "P waves: how do they go with the QRS?"
	case ledger.PR:
		return "PR, for this age?"
	case ledger.QRS:
		return "QRS, for this age?"
	}
	return string(q)
}

// Words are an answer in words.
func Words(q ledger.Question, answer string) string {
	switch {
	case answer == Untold && q == ledger.Rate:
		return "none can be counted"
	case answer == Untold:
		return "Cannot be told here"
	case q == ledger.Rate:
		return answer + " a minute"
	}
	words := map[ledger.Question]map[string]string{
		ledger.Regularity: {Regular: "Regular", RegularBut: "Regular but for early or missing beats, or in a pattern", Irregular: "Irregular"},
		ledger.PWaves:     {OneEach: "One before each QRS", MoreP: "More P waves than QRS", SomeP: "P waves, but not one before each QRS", NoP: "None to be seen"},
		ledger.PR: {ShortPR: "Short", UsualPR: "Usual", LongPR: "Long", Varies: "Changes from beat to beat",
			NoPR: "None: no P leads to a QRS"},
		ledger.QRS: {Narrow: "Narrow", Wide: "Wide", Both: "Some beats narrow, some wide"},
	}[q]
	if w, ok := words[answer]; ok {
		return w
	}
	return answer
}
