// Package hurt holds cards made to hurt whoever reads them, for the tests of what
// reads cards: the reader itself, the commands, and a worker to whom they are sent as
// jobs. Texts flow out, each with a part of the reason for which it is refused; no
// card is ever accepted. Only tests import it.
package hurt
