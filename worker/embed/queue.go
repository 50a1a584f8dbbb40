package embed

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
)

// readyTime bounds the start of each service.
const readyTime = 20 * time.Second

func (s *Services) startQueue(ctx context.Context, cfg Config) error {
	user, err := seedIn(s.QueueSeed, cfg.Random)
	if err != nil {
		return err
	}
	opts := &server.Options{
		ServerName: "ashline", Host: "127.0.0.1", Port: cfg.QueuePort, DontListen: !cfg.Listen,
		JetStream: true, StoreDir: filepath.Join(s.Dir, "queue"), SyncAlways: true,
		NoSigs: true, NoLog: true, MaxPayload: 1 << 20, Nkeys: []*server.NkeyUser{{Nkey: user}},
	}
	if cfg.Listen && cfg.QueuePort == 0 {
		opts.Port = server.RANDOM_PORT
	}
	q, err := server.NewServer(opts)
	if err != nil {
		return fmt.Errorf("embed: queue: %w", err)
	}
	q.Start()
	s.queue = q
	wait := readyTime
	if d, ok := ctx.Deadline(); ok {
		wait = min(wait, time.Until(d))
	}
	if !q.ReadyForConnections(wait) {
		s.stopQueue()
		return errors.New("embed: queue: not ready in time; is the port taken?")
	}
	if cfg.Listen {
		s.QueueURL = q.ClientURL()
	}
	return nil
}

func (s *Services) stopQueue() {
	s.queue.Shutdown()
	s.queue.WaitForShutdown()
}

// seedIn returns the public key that belongs to a seed file, and makes the
// file if it is not there.
func seedIn(path string, random io.Reader) (public string, err error) {
	raw, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		var kp nkeys.KeyPair
		if kp, err = nkeys.CreatePairWithRand(nkeys.PrefixByteUser, random); err != nil {
			return "", fmt.Errorf("embed: seed: %w", err)
		}
		if raw, err = kp.Seed(); err != nil {
			return "", fmt.Errorf("embed: seed: %w", err)
		}
		if err = os.WriteFile(path, append(raw, '\n'), 0o600); err != nil {
			return "", fmt.Errorf("embed: %w", err)
		}
	}
	if err != nil {
		return "", fmt.Errorf("embed: %w", err)
	}
	kp, err := nkeys.ParseDecoratedNKey(raw)
	if err != nil {
		return "", fmt.Errorf("embed: seed file: %w", err)
	}
	return kp.PublicKey()
}
