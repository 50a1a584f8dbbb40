package conform

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Certificates are the files of an authority made for one test and of a server on
// the loopback that it vouches for, PEM.
type Certificates struct{ Authority, Server, Key string }

// NewCertificates makes them; they are good for an hour.
func NewCertificates(t *testing.T) Certificates {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	dir := t.TempDir()
	file := func(name, kind string, der []byte) string {
		p := filepath.Join(dir, name)
		must(os.WriteFile(p, pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: der}), 0o600))
		return p
	}
	of := func(name string, ca bool) *x509.Certificate {
		return &x509.Certificate{
			SerialNumber: big.NewInt(time.Now().UnixNano()), Subject: pkix.Name{CommonName: name},
			NotBefore: time.Now().Add(-time.Minute), NotAfter: time.Now().Add(time.Hour),
			IsCA: ca, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
			ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		}
	}
	authorityKey, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	must(err)
	authority := of("authority of a test", true)
	authorityDER, err := x509.CreateCertificate(rand.Reader, authority, authority, &authorityKey.PublicKey, authorityKey)
	must(err)
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	must(err)
	der, err := x509.CreateCertificate(rand.Reader, of("127.0.0.1", false), authority, &key.PublicKey, authorityKey)
	must(err)
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	must(err)
	return Certificates{
		Authority: file("authority.pem", "CERTIFICATE", authorityDER),
		Server:    file("server.pem", "CERTIFICATE", der),
		Key:       file("server-key.pem", "PRIVATE KEY", keyDER),
	}
}
