package embed

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/nats-io/nats-server/v2/server"
)

// Config says where the services keep their things.
type Config struct {
	Dir       string    // made if it is not there
	Listen    bool      // the queue answers other processes too, on the loopback
	QueuePort int       // with Listen. Defaults to any free one.
	StorePort int       // Defaults to any free one.
	Random    io.Reader // for credentials. Defaults to crypto/rand.
}

// Services are a running queue and store.
type Services struct {
	QueueURL   string // empty: in this process only
	QueueSeed  string // file with the queue's nkey seed
	StoreURL   string
	Access     string
	SecretFile string
	Secret     string
	Dir        string // absolute

	workDir string // as it was before the store changed it
	queue   *server.Server
	store   *gateway
}

// access is the store's one account.
const access = "ashline"

// Start runs both and returns when they answer.
func Start(ctx context.Context, cfg Config) (*Services, error) {
	dir, err := filepath.Abs(cfg.Dir)
	if err != nil {
		return nil, fmt.Errorf("embed: %w", err)
	}
	if cfg.Random == nil {
		cfg.Random = rand.Reader
	}
	workDir, err := os.Getwd()
	if err != nil {
		return nil, fmt.Errorf("embed: %w", err)
	}
	s := &Services{workDir: workDir, Dir: dir, Access: access, SecretFile: filepath.Join(dir, "store.secret"), QueueSeed: filepath.Join(dir, "queue.seed")}
	for _, d := range []string{"", "queue", "store", "meta"} {
		if err := os.MkdirAll(filepath.Join(dir, d), 0o700); err != nil {
			return nil, fmt.Errorf("embed: %w", err)
		}
	}
	if s.Secret, err = secretIn(s.SecretFile, cfg.Random); err != nil {
		return nil, err
	}
	if err := s.startQueue(ctx, cfg); err != nil {
		return nil, err
	}
	if s.store, err = startGateway(ctx, dir, cfg.StorePort, s.Secret); err != nil {
		s.stopQueue()
		return nil, errors.Join(err, os.Chdir(workDir))
	}
	s.StoreURL = s.store.url
	return s, nil
}

// Server is the queue for clients in this process.
func (s *Services) Server() *server.Server { return s.queue }

// Close stops both and waits for their end.
func (s *Services) Close() error {
	err := s.store.stop()
	s.stopQueue()
	return errors.Join(err, os.Chdir(s.workDir))
}

// secretIn reads a secret, and makes one if the file is not there.
func secretIn(path string, random io.Reader) (string, error) {
	old, err := os.ReadFile(path)
	if err == nil {
		return strings.TrimSpace(string(old)), nil
	}
	if !errors.Is(err, os.ErrNotExist) {
		return "", fmt.Errorf("embed: %w", err)
	}
	raw := make([]byte, 20)
	if _, err := io.ReadFull(random, raw); err != nil {
		return "", fmt.Errorf("embed: secret: %w", err)
	}
	secret := hex.EncodeToString(raw)
	if err := os.WriteFile(path, []byte(secret+"\n"), 0o600); err != nil {
		return "", fmt.Errorf("embed: %w", err)
	}
	return secret, nil
}
