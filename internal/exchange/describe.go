package exchange

import (
	"fmt"
	"strings"
)

// Describe writes the table as Markdown, one table for each mode with every
// event in it, then what the events, guards and actions mean.
func (t Table) Describe() string {
	var b strings.Builder
	for _, m := range Modes {
		fmt.Fprintf(&b, "### %s\n\n%s.\n\n| event | done in any case | then |\n|---|---|---|\n", m, meaning[m])
		for _, e := range Events {
			c, ok := t[m][e]
			if !ok {
				fmt.Fprintf(&b, "| %s | | comes as %s |\n", e, Late)
				continue
			}
			fmt.Fprintf(&b, "| %s | %s | %s |\n", e, joined(c.Do), describeWays(m, c.Ways))
		}
		b.WriteString("\n")
	}
	glossary(&b, "Events", Events)
	glossary(&b, "Guards", Guards)
	glossary(&b, "Actions", Actions)
	return b.String()
}

func glossary[S ~string](b *strings.Builder, title string, names []S) {
	fmt.Fprintf(b, "### %s\n\n| name | meaning |\n|---|---|\n", title)
	for _, n := range names {
		fmt.Fprintf(b, "| %s | %s |\n", n, meaning[n])
	}
	b.WriteString("\n")
}

func describeWays(m Mode, ws []Way) string {
	var out []string
	for _, w := range ws {
		s := ""
		if w.If != "" {
			s = "if " + string(w.If) + ": "
		}
		s += joined(w.Do)
		if len(w.Do) > 0 {
			s += " "
		}
		if w.To == m {
			s += "stay"
		} else {
			s += "→ **" + string(w.To) + "**"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func joined(a []Action) string { return strings.Join(texts(a), ", ") }

func texts[S ~string](all []S) []string {
	out := make([]string, len(all))
	for i, s := range all {
		out[i] = string(s)
	}
	return out
}

// Guards and Actions list those of the table in the order in which tables
// show them.
var (
	Guards = []Guard{somethingLeft, somethingLeftMay, nobody, ending, endingSafe, endingSafeMay, checked, revoked, revokedClear,
		packOld, packOldMay, stalled, sameHand, early}
	Actions = []Action{read, adopt, flush, keep, hold, saved, notSaved, send, fetch, check, take, takeLate, takePack, takeSums, later, soon,
		shrink, signOut, turn, revoke, end, wipe, emptied, filed, release, tellStuck, tellNoDay, tellRevoked, tellNotOurs, tellSignedOut, tellKeptBack}
)

// meaning says in words what each name of the table means.
var meaning = map[any]string{
	Opening: "Storage is being read", Stuck: "Storage can be neither read nor written; the page says so, and that paper is needed",
	Empty: "Nobody's day is on this phone", Resting: "Nothing to do", Sending: "Items are under way",
	Fetching: "The day's pack is asked for", Checking: "Checksums are asked for, before the phone is emptied",
	Wiping: "The phone is being emptied", Waiting: "The last try failed, or another would come too soon; the next has its time",
	AtDoor: "The server wants a sign-in; recording goes on",

	Loaded: "the storage was read", Unreadable: "it could not be read", Stored: "items are in it, durably",
	NotStored: "they are not", Wiped: "it is empty", NotWiped: "it held something else and was left alone",
	Changed: "another page of this phone wrote to it", Closed: "the connection to it was taken away",
	Record: "the person recorded an item", Nudge: "the person asks to send, or opened the page",
	Finish: "\"done for today\"", Filed: "the person has the items in a file", Release: "a set-aside item is to be tried again",
	Hint: "the page came to the front, or a network came up", Tick: "a time that was asked for has come",
	Answered: "the server took the items, each with its result", Packed: "the day's pack came", Summed: "the checksums came",
	NoAnswer: "nothing, half an answer, or \"not now\"", NotOurs: "something else answered, such as a guest network's sign-in page",
	SignOut: "nobody is signed in, or the role was taken away", Other: "somebody else is signed in",
	Revoke: "the phone was revoked", TooLong: "the request was too long", Late: "a reply to a request that was given up",

	somethingLeft: "an item of whoever's day it is waits to be sent; on a revoked phone, anybody's", somethingLeftMay: "the same, and the last try was a minute ago",
	nobody: "nobody's day is on the phone", ending: "the phone is to be emptied",
	endingSafe:    "the person is done, and every item of theirs is sent, or set aside and in a file",
	endingSafeMay: "the same, and the last try was a minute ago", checked: "the same, and the checksum of each sent item came back right",
	revoked: "the phone is revoked", revokedClear: "the phone is revoked and nothing is left to hand over",
	packOld: "the day's pack is missing, locked or five minutes old", packOldMay: "the same, and the last try was a minute ago",
	stalled: "the last answer moved nothing on, or put something off", sameHand: "the phone did not change hands",
	early: "the time of the next try has not come",

	read: "read the storage again", adopt: "take over what was read; items that are not confirmed stay",
	flush: "try again to store what is not confirmed", keep: "store the item; recording calls off \"done for today\"",
	hold: "keep the item in the page only", saved: "say \"saved\"; an item too long is set aside; where another page stored something before it, read first", notSaved: "say that it is not, and why",
	send: "send the oldest items, as many as there is room for", fetch: "ask for the day's pack", check: "ask for the checksums of all sent items",
	take:     "write down what became of each item, the server's clock and its build; what an older build refused waits again",
	takeLate: "write down what became of each item", takePack: "keep the pack; unlock", takeSums: "compare checksums; what the server lacks is sent again",
	later: "set the time of the next try, a longer wait each time, and ask for less", soon: "set the time of the next try to a minute after the last",
	shrink: "ask for less at once; an item too long by itself is set aside", signOut: "say that a sign-in is needed",
	turn: "the phone is somebody else's from now on; the items of the hand before stay and wait", revoke: "drop the pack; everything goes to the lead",
	end: "the person is done for today", wipe: "empty the phone, if it holds nothing else", emptied: "forget what was on it",
	filed: "note that items are in a file", release: "let a set-aside item wait again", tellStuck: "say that this phone cannot keep anything",
	tellNoDay: "say that nobody's day is here", tellRevoked: "say that the phone was revoked", tellNotOurs: "say that something else answered",
	tellSignedOut: "say that a sign-in is needed to finish", tellKeptBack: "say what keeps the phone from being emptied",
}
