package page

import (
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"log/slog"
	"time"

	"firnhand/core/binding"
	"firnhand/core/decide"
	"firnhand/internal/picture"
	"firnhand/programme"
)

// Clock tells the time.
type Clock interface {
	Now() time.Time
}

// Ticket is a sign-in as the browser keeps it.
type Ticket struct {
	Token string    // secret; goes into the cookie and nowhere else
	Ends  time.Time // when it ends for good
}

// Device is one sign-in as its owner sees it.
type Device struct {
	ID       programme.ID
	Name     string // "Firefox on Linux"
	Began    time.Time
	LastSeen time.Time
	This     bool // the one that asks
	Phone    bool // enrolled by a code, and so lasting longer
}

// Passkey is a passkey as its owner sees it.
type Passkey struct {
	ID    programme.ID
	Name  string
	Since time.Time
}

// Person is what somebody types to be known from then on.
type Person struct {
	Name     string // name used
	Login    string
	Password string
}

// SignIn is what the pages need of sign-in. Errors are *programme.Error.
type SignIn interface {
	// Who returns the person behind a token. CodeSignedOut when there is none.
	Who(ctx context.Context, token string) (programme.Actor, error)
	// Enter checks login and password. device is what the person will recognise
	// the browser by, from is where the request came from, to slow down guessing.
	Enter(ctx context.Context, login, password, device, from string) (Ticket, error)
	// Leave ends a sign-in; one that has ended is no error.
	Leave(ctx context.Context, token string) error
	// FirstLead makes the first lead of a programme, with the code that was
	// printed when the program first ran, and signs them in.
	FirstLead(ctx context.Context, code string, p Person, device, from string) (Ticket, error)
	// Invite makes a code with which a member of staff chooses a login and a
	// password; earlier codes and passwords of theirs end.
	Invite(ctx context.Context, by programme.Actor, staff programme.ID) (code string, ends time.Time, err error)
	// Join uses such a code and signs the person in. p.Name is not used.
	Join(ctx context.Context, code string, p Person, device, from string) (Ticket, error)
	// Devices lists the person's sign-ins, newest first.
	Devices(ctx context.Context, token string) ([]Device, error)
	// EndDevice ends one of the person's own sign-ins; with an empty id, all but
	// this one.
	EndDevice(ctx context.Context, token string, id programme.ID) error
	// DevicesOf and EndDevices are the same for other people's sign-ins, for those
	// who manage staff.
	DevicesOf(ctx context.Context, by programme.Actor, staff programme.ID) ([]Device, error)
	EndDevices(ctx context.Context, by programme.Actor, staff, id programme.ID) error
	// PhoneCode makes a code with which the person's own phone signs in once,
	// soon; EnterPhone uses it.
	PhoneCode(ctx context.Context, token string) (code string, ends time.Time, err error)
	EnterPhone(ctx context.Context, code, device, from string) (Ticket, error)
	// Origins tells whether passkeys can be used under the address that the
	// browser is at.
	Origins(origin string) bool
	// AskNewPasskey returns what the browser is to be asked, as JSON, and a
	// number for AddPasskey; AskPasskey the same for EnterPasskey.
	AskNewPasskey(ctx context.Context, token, origin string) (asked programme.ID, question []byte, err error)
	AddPasskey(ctx context.Context, token, origin string, asked programme.ID, answer []byte, name string) error
	AskPasskey(ctx context.Context, origin string) (asked programme.ID, question []byte, err error)
	EnterPasskey(ctx context.Context, origin string, asked programme.ID, answer []byte, device, from string) (Ticket, error)
	// Passkeys lists the person's own, RemovePasskey removes one.
	Passkeys(ctx context.Context, token string) ([]Passkey, error)
	RemovePasskey(ctx context.Context, token string, id programme.ID) error
	// ChangePassword checks the old password, sets the new one and ends every
	// other sign-in of the person.
	ChangePassword(ctx context.Context, token, old, new string) error
}

// CardOrder is everything a card is made from.
type CardOrder struct {
	ID       programme.ID // the opaque id in the card's code
	Record   programme.Record
	Decision programme.Decision
	Table    *decide.Table
	Answer   *decide.Answer
	Hill     programme.Hill // as of the same moment
	ForDay   programme.Date
	MadeAt   time.Time
	UpTo     int64     // the last fact that counts
	DataAt   time.Time // when the student's last fact was recorded
}

// PrintedCard is a card as made. The same order gives the same bytes.
type PrintedCard struct {
	PDF  []byte
	Text string // the same content for a screen or a terminal
}

// SheetOrder is everything a request to the binding technician is printed from.
type SheetOrder struct {
	ID     programme.ID
	Name   string // name used
	MadeAt time.Time
	Sheet  binding.Request
}

// PaperOrder is a page for others that is printed on paper.
type PaperOrder struct {
	Title  string
	Lead   string
	Blocks []PaperBlock
	Foot   string
	MadeAt time.Time
}

// PaperBlock is one part of it.
type PaperBlock struct {
	Heading string
	Lines   []string
	Bullets bool
	Rows    [][2]string
	Drawing func(width float64) picture.Drawing // mm
	Frame   float64                             // height of an empty frame, mm
}

// Deps are the ports that the pages are given. All but Log, Zone and Version
// are needed.
type Deps struct {
	Cases  programme.UseCases
	SignIn SignIn
	// Table returns the rule table with the numbers signed off by a moment.
	Table func(ctx context.Context, a programme.Actor, at programme.AsOf) (*decide.Table, error)
	// Card makes a card. It answers *programme.Error for an order that does not
	// fit on one.
	Card func(ctx context.Context, order CardOrder) (PrintedCard, error)
	// Lesson returns what a card says, as JSON, for a phone. nil: phones show none.
	Lesson func(ctx context.Context, order CardOrder) (json.RawMessage, error)
	// Phone holds the files of the page for a phone; nil: there is none.
	Phone fs.FS
	// Stance prints a stance in a place as a card; "" takes the straight run. nil:
	// the page offers none.
	Stance func(ctx context.Context, order CardOrder, place string) ([]byte, error)
	// Sheet prints a request to the binding technician as a PDF.
	Sheet func(ctx context.Context, order SheetOrder) ([]byte, error)
	// Paper prints a report as a PDF of one page.
	Paper func(ctx context.Context, order PaperOrder) ([]byte, error)
	// Shape reads the shape of a slope from a file, Forecast a forecast of
	// comma-separated values. Errors are *programme.Error.
	Shape    func(f ShapeFile) (Shape, error)
	Forecast func(data []byte) ([]ForecastHour, error)
	Clock    Clock
	Random   io.Reader // for ids; safe for concurrent use
	Zone     *time.Location
	Log      *slog.Logger // causes of errors; never a person's data
	// Secure says that the pages are served over TLS: cookies are then Secure
	// with the __Host- prefix, and browsers are told to stay on TLS.
	Secure  bool
	Version string // of the program, for cards and the foot of a page
}
