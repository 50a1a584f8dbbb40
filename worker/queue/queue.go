package queue

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"regexp"
	"strconv"
	"strings"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// ErrServerTooOld means: the server lacks what the path rests on. A matter for the
// operator.
var ErrServerTooOld = errors.New("queue: server too old")

// The oldest server that honours rejection with a reason and message lifetimes.
const minMajor, minMinor = 2, 11

// Config says where the queue is and how it treats a job.
type Config struct {
	URL       string                     // nats:// or tls:// URL, several with commas
	InProcess nats.InProcessConnProvider // instead of URL: a server in this process
	SeedFile  string                     // file with the account's nkey seed; empty: none
	CredsFile string                     // file with the account's credentials; empty: none
	CAFile    string                     // file with the certificates (PEM) that vouch for the server. Defaults to the system's.
	Inbox     string                     // prefix of the subjects that answers come on, as the account may hear. Defaults to _INBOX.
	Name      string                     // shown in the server's list of connections
	Lease     time.Duration              // how long a delivery is a worker's own without a word from it. Defaults to 30 s.
	Attempts  int                        // deliveries after which a job is given up. Defaults to 5.
	Keep      time.Duration              // how long results are kept in the stream. Defaults to 30 days.
	Sweep     time.Duration              // mean time between two looks of WatchStuck. Defaults to 1 min.
	Log       *slog.Logger               // Defaults to none.
}

// Defaults of Config.
const (
	DefaultLease    = 30 * time.Second
	DefaultAttempts = 5
	defaultKeep     = 30 * 24 * time.Hour
	defaultSweep    = time.Minute
)

// tokenPattern is one part of a subject without a wildcard.
var tokenPattern = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)

const (
	clipsStream  = "CLIPS"
	swingsStream = "SWINGS"
	durable      = "measure"
	// appsDurable is where applications take up the news; each event is given
	// to one of those that share it.
	appsDurable = "apps"

	// spareDeliveries lets a worker see that a job was delivered too often and
	// end it with a reason, before the queue goes quiet about it.
	spareDeliveries = 2
	// dedupWindow is how long the queue remembers a message's id.
	dedupWindow = 10 * time.Minute
	// endWindow is how long it remembers that an end was told. It only spares
	// applications a second telling: how a submission ended is decided by the
	// record in the store. After a longer stop the same end may be told again.
	endWindow = 24 * time.Hour
	// clipsBytes bounds the jobs that wait, for disk's sake: some hundred thousand
	// usual ones, and four thousand of the longest. A full queue takes no more; a
	// job is never dropped for another.
	clipsBytes = 256 << 20
	// swingsBytes bounds what was told, so that a flood of progress cannot fill the
	// disk: at one or two kB an event, ends of 17,000 clips a day for 30 days. The
	// oldest go first; they are news, the results themselves are in the store.
	swingsBytes = 1 << 30
	// nextWait bounds one request for a message.
	nextWait       = 2 * time.Second
	requestTimeout = 5 * time.Second
	// readyTime bounds the question whether the server answers: less than what a
	// request for readiness has for all its checks.
	readyTime = 2 * time.Second
)

// Queue is a connection to the queue. It is safe for concurrent use.
type Queue struct {
	cfg  Config
	conn *nats.Conn
	js   jetstream.JetStream
}

var (
	_ worker.Source    = (*Queue)(nil)
	_ worker.Publisher = (*Queue)(nil)
)

// Open connects and checks the server's version. It fails when the server
// cannot be reached at once; later breaks are bridged.
func Open(ctx context.Context, cfg Config) (*Queue, error) {
	if cfg.Lease == 0 {
		cfg.Lease = DefaultLease
	}
	if cfg.Attempts == 0 {
		cfg.Attempts = DefaultAttempts
	}
	if cfg.Keep == 0 {
		cfg.Keep = defaultKeep
	}
	if cfg.Sweep == 0 {
		cfg.Sweep = defaultSweep
	}
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.DiscardHandler)
	}
	opts := []nats.Option{
		nats.Name(cfg.Name), nats.MaxReconnects(-1), nats.ReconnectWait(500 * time.Millisecond),
		nats.ReconnectJitter(500*time.Millisecond, time.Second), nats.Timeout(requestTimeout), nats.DrainTimeout(requestTimeout),
		// Otherwise two refusals in a row, of a server that had the wrong keys for
		// some seconds, would close the connection for good.
		nats.IgnoreAuthErrorAbort(),
		// A refused publish looks like a timeout to its caller; only this handler learns why.
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { cfg.Log.Warn("queue", "error", err.Error()) }),
		nats.DisconnectErrHandler(func(_ *nats.Conn, err error) {
			if err != nil {
				cfg.Log.Warn("queue disconnected", "error", err.Error())
			}
		}),
		nats.ReconnectHandler(func(*nats.Conn) { cfg.Log.Info("queue reconnected") }),
	}
	if cfg.InProcess != nil {
		opts = append(opts, nats.InProcessServer(cfg.InProcess))
	}
	if cfg.CAFile != "" {
		opts = append(opts, nats.RootCAs(cfg.CAFile))
	}
	if cfg.Inbox != "" {
		if !tokenPattern.MatchString(cfg.Inbox) {
			return nil, fmt.Errorf("queue: %w: inbox prefix %q", job.ErrBadInput, cfg.Inbox)
		}
		opts = append(opts, nats.CustomInboxPrefix(cfg.Inbox))
	}
	if cfg.SeedFile != "" {
		o, err := nats.NkeyOptionFromSeed(cfg.SeedFile)
		if err != nil {
			return nil, fmt.Errorf("queue: seed file: %w", err)
		}
		opts = append(opts, o)
	}
	if cfg.CredsFile != "" {
		opts = append(opts, nats.UserCredentials(cfg.CredsFile))
	}
	conn, err := nats.Connect(cfg.URL, opts...)
	if err != nil {
		return nil, connectError(err)
	}
	if err := checkVersion(conn.ConnectedServerVersion()); err != nil {
		conn.Close()
		return nil, err
	}
	js, err := jetstream.New(conn, jetstream.WithDefaultTimeout(requestTimeout))
	if err != nil {
		conn.Close()
		return nil, fmt.Errorf("queue: %w", err)
	}
	return &Queue{cfg: cfg, conn: conn, js: js}, nil
}

// checkVersion refuses servers that would accept a rejection or a lifetime and
// silently ignore it.
func checkVersion(v string) error {
	parts := strings.SplitN(strings.TrimPrefix(v, "v"), ".", 3)
	if len(parts) >= 2 {
		major, err1 := strconv.Atoi(parts[0])
		minor, err2 := strconv.Atoi(parts[1])
		if err1 == nil && err2 == nil && (major > minMajor || major == minMajor && minor >= minMinor) {
			return nil
		}
	}
	return fmt.Errorf("%w: it says %q, %d.%d or later is needed", ErrServerTooOld, v, minMajor, minMinor)
}

// Close ends the connection at once; what was confirmed is safe.
func (q *Queue) Close() { q.conn.Close() }

// Ready reports whether the queue answers, within two seconds. It asks: a server
// that is frozen keeps its connections.
func (q *Queue) Ready(ctx context.Context) error {
	if !q.conn.IsConnected() {
		return fmt.Errorf("queue: %w: %s", job.ErrUnreachable, strings.ToLower(q.conn.Status().String()))
	}
	ctx, cancel := context.WithTimeout(ctx, readyTime)
	defer cancel()
	return wrap("ready", q.conn.FlushWithContext(ctx))
}

// Setup makes the streams and the workers' consumer unless they are there, and
// brings their settings up to date. It needs an operator's rights.
func (q *Queue) Setup(ctx context.Context) error {
	for _, c := range []jetstream.StreamConfig{
		{
			Name: clipsStream, Subjects: []string{event.SubjectSubmitted, event.SubjectReturned}, Retention: jetstream.WorkQueuePolicy,
			Storage: jetstream.FileStorage, Duplicates: dedupWindow, MaxMsgSize: job.MaxBytes,
			MaxBytes: clipsBytes, Discard: jetstream.DiscardNew,
			Description: "clips to be measured",
		},
		{
			Name: swingsStream, Subjects: []string{event.SubjectMeasured, event.SubjectFailed, event.SubjectProgress},
			Storage: jetstream.FileStorage, Duplicates: min(endWindow, q.cfg.Keep), MaxAge: q.cfg.Keep, AllowMsgTTL: true,
			MaxBytes: swingsBytes, Discard: jetstream.DiscardOld,
			Description: "what became of them",
		},
	} {
		if _, err := q.js.CreateOrUpdateStream(ctx, c); err != nil {
			return q.wrap("stream "+c.Name, err)
		}
	}
	// No BackOff: it would override the lease, and does not apply to a message given back.
	_, err := q.js.CreateOrUpdateConsumer(ctx, clipsStream, jetstream.ConsumerConfig{
		Durable: durable, AckPolicy: jetstream.AckExplicitPolicy, AckWait: q.cfg.Lease,
		MaxDeliver: q.cfg.Attempts + spareDeliveries, MaxAckPending: 10_000, Description: "workers",
	})
	if err != nil {
		return q.wrap("consumer "+durable, err)
	}
	_, err = q.js.CreateOrUpdateConsumer(ctx, swingsStream, jetstream.ConsumerConfig{
		Durable: appsDurable, AckPolicy: jetstream.AckExplicitPolicy, AckWait: q.cfg.Lease, MaxAckPending: 10_000,
		FilterSubjects: []string{event.SubjectMeasured, event.SubjectFailed}, Description: "applications that use results",
	})
	return q.wrap("consumer "+appsDurable, err)
}

// Ensure is Setup where streams and consumer are missing; where they are there
// it changes nothing and needs no more than a worker's rights.
func (q *Queue) Ensure(ctx context.Context) error {
	_, err := q.js.Consumer(ctx, clipsStream, durable)
	if errors.Is(err, jetstream.ErrStreamNotFound) || errors.Is(err, jetstream.ErrConsumerNotFound) {
		return q.Setup(ctx)
	}
	return q.wrap("consumer", err)
}

// Submit adds a job. It reports whether the queue knew it already.
func (q *Queue) Submit(ctx context.Context, j job.Job) (known bool, err error) {
	if err := j.Check(); err != nil {
		return false, err
	}
	raw, err := json.Marshal(j)
	if err != nil {
		return false, fmt.Errorf("queue: %w", err)
	}
	ack, err := q.js.Publish(ctx, event.SubjectSubmitted, raw, jetstream.WithMsgID(j.ID))
	if errors.Is(err, jetstream.ErrNoStreamResponse) { // the very first job, before anybody has made the stream
		if serr := q.Setup(ctx); serr != nil {
			return false, serr
		}
		ack, err = q.js.Publish(ctx, event.SubjectSubmitted, raw, jetstream.WithMsgID(j.ID))
	}
	if err != nil {
		return false, q.wrap("submit", err)
	}
	return ack.Duplicate, nil
}

// Publish stores an event. An event with the id of a recent one is dropped by
// the queue. Progress is sent without waiting.
func (q *Queue) Publish(ctx context.Context, e event.Event) error {
	subject := e.Route()
	if err := job.CheckSubject(subject); err != nil {
		return err
	}
	raw, err := json.Marshal(e)
	if err != nil {
		return fmt.Errorf("queue: %w", err)
	}
	m := nats.NewMsg(subject)
	m.Data = raw
	m.Header.Set("Content-Type", event.ContentType)
	if subject == event.SubjectProgress {
		m.Header.Set(jetstream.MsgTTLHeader, event.ProgressTTL.String())
		return q.wrap("publish", q.conn.PublishMsg(m))
	}
	_, err = q.js.PublishMsg(ctx, m, jetstream.WithMsgID(e.ID))
	return q.wrap("publish "+subject, err)
}

func connectError(err error) error {
	if errors.Is(err, nats.ErrAuthorization) || errors.Is(err, nats.ErrAuthExpired) {
		return fmt.Errorf("queue: connect: %w", job.ErrDenied)
	}
	return fmt.Errorf("queue: connect: %w: %w", job.ErrUnreachable, err)
}

// wrap is the package's wrap, and tells a refusal from silence: the server says
// no beside the request, which then only times out.
func (q *Queue) wrap(what string, err error) error {
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, nats.ErrTimeout) {
		if last := q.conn.LastError(); errors.Is(last, nats.ErrPermissionViolation) {
			return wrap(what, last)
		}
	}
	return wrap(what, err)
}

// wrap gives the client's error the sentinel the worker path knows.
func wrap(what string, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, context.Canceled):
		return fmt.Errorf("queue: %s: %w", what, err)
	case errors.Is(err, nats.ErrPermissionViolation), errors.Is(err, nats.ErrAuthorization):
		return fmt.Errorf("queue: %s: %w: %w", what, job.ErrDenied, err)
	default:
		return fmt.Errorf("queue: %s: %w: %w", what, job.ErrUnreachable, err)
	}
}
