package door

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"undertray.example/undertray/internal/fleet"
	"undertray.example/undertray/internal/message"
	"undertray.example/undertray/internal/yard"
)

// Files of the house's certificate, below Folder but for the one that devices are to
// trust, which the server hands out to everybody.
const (
	CAFile   = "house.crt"
	caKey    = "house.key"
	CertFile = "server.crt"
	KeyFile  = "server.key"
)

// How long they hold. Phones refuse certificates of servers that hold for more than 825 days,
// own ones included (a rule of their makers since 2019; from memory).
const (
	caYears  = 10
	certDays = 820
)

// Certificate makes a certificate for the server under some names and addresses, signed
// by the house's own authority, which is made where there is none for these names. The
// authority can sign for these names alone (RFC 5280, section 4.2.1.10), so that a device that
// trusts it trusts it with no other site. It reports whether a new authority was made, which
// devices must be told to trust. Names that are none are refused with a *fleet.Error.
func (d *Door) Certificate(names []string, now time.Time) (anew bool, err error) {
	hosts, ips, err := Names(names)
	if err != nil {
		return false, err
	}
	ca, key, err := d.authority()
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return false, err
	}
	if anew = ca == nil || now.AddDate(0, 0, certDays).After(ca.NotAfter) || !covers(ca, hosts, ips); anew {
		if ca, key, err = d.newAuthority(hosts, ips, now); err != nil {
			return false, err
		}
	}
	server := &x509.Certificate{Subject: pkix.Name{CommonName: names[0]}, DNSNames: hosts, IPAddresses: ips,
		NotBefore: now.Add(-time.Hour), NotAfter: now.AddDate(0, 0, certDays),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
	own, err := newKey()
	if err != nil {
		return false, err
	}
	return anew, d.sign(server, ca, own, key, CertFile, KeyFile)
}

// machine is a name of a machine in the letters that a certificate takes (RFC 1123, 2.1).
var machine = regexp.MustCompile(`^[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9.])?$`)

// Names tells names of machines from addresses. What is neither, as with a scheme or a port, is refused
// with a *fleet.Error.
func Names(names []string) (hosts []string, ips []net.IP, err error) {
	for _, n := range names {
		if ip := net.ParseIP(n); ip != nil {
			ips = append(ips, ip)
			continue
		}
		if !machine.MatchString(n) || len(n) > 253 {
			return nil, nil, &fleet.Error{Kind: fleet.Invalid, Where: n, Msg: "that is no name or address of a machine",
				Hint: "as a phone opens it, without https and port: shed.local or 192.168.1.20"}
		}
		hosts = append(hosts, strings.ToLower(n))
	}
	if len(names) == 0 {
		return nil, nil, &fleet.Error{Kind: fleet.Invalid, Msg: "a certificate is made for a name",
			Hint: "give the name or address by which phones open the server"}
	}
	return hosts, ips, nil
}

// covers reports whether an authority may sign for all of some names.
func covers(ca *x509.Certificate, hosts []string, ips []net.IP) bool {
	for _, h := range hosts {
		if !slices.Contains(ca.PermittedDNSDomains, h) {
			return false
		}
	}
	for _, ip := range ips {
		if !slices.ContainsFunc(ca.PermittedIPRanges, func(n *net.IPNet) bool { return n.Contains(ip) }) {
			return false
		}
	}
	return true
}

func (d *Door) newAuthority(hosts []string, ips []net.IP, now time.Time) (*x509.Certificate, *ecdsa.PrivateKey, error) {
	ca := &x509.Certificate{Subject: pkix.Name{CommonName: "Undertray of this house, " + now.Format(time.DateOnly)},
		NotBefore: now.Add(-time.Hour), NotAfter: now.AddDate(caYears, 0, 0), IsCA: true, BasicConstraintsValid: true,
		MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign, PermittedDNSDomainsCritical: true,
		PermittedDNSDomains: hosts}
	for _, ip := range ips {
		bits := 8 * len(ip)
		if v4 := ip.To4(); v4 != nil {
			ip, bits = v4, 32
		}
		ca.PermittedIPRanges = append(ca.PermittedIPRanges, &net.IPNet{IP: ip, Mask: net.CIDRMask(bits, bits)})
	}
	// A kind of name without a permitted one would be open to any: an address none has is put there.
	if len(hosts) == 0 {
		ca.PermittedDNSDomains = []string{"invalid"} // RFC 6761, section 6.4
	}
	if len(ips) == 0 {
		ca.PermittedIPRanges = []*net.IPNet{{IP: net.IPv4(192, 0, 2, 0).To4(), Mask: net.CIDRMask(32, 32)}} // RFC 5737
	}
	key, err := newKey()
	if err != nil {
		return nil, nil, err
	}
	if err := d.sign(ca, ca, key, key, CAFile, caKey); err != nil {
		return nil, nil, err
	}
	return d.authority() // as it was signed, with the identifier of its key
}

func newKey() (*ecdsa.PrivateKey, error) { return ecdsa.GenerateKey(elliptic.P256(), rand.Reader) }

// sign writes a certificate and its key.
func (d *Door) sign(cert, ca *x509.Certificate, key, by *ecdsa.PrivateKey, name, keyName string) error {
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return err
	}
	cert.SerialNumber = serial
	der, err := x509.CreateCertificate(rand.Reader, cert, ca, &key.PublicKey, by)
	if err != nil {
		return err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(d.dir, 0o700); err != nil {
		return yard.Unwritable(Folder, err)
	}
	pemOf := func(kind string, b []byte) []byte { return pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: b}) }
	return errors.Join(yard.Replace(filepath.Join(d.dir, keyName), pemOf("PRIVATE KEY", secret), 0o600),
		yard.Replace(filepath.Join(d.dir, name), pemOf("CERTIFICATE", der), 0o644))
}

// authority reads the house's authority; where there is none the error is fs.ErrNotExist.
func (d *Door) authority() (*x509.Certificate, *ecdsa.PrivateKey, error) {
	cert, key := d.path(CAFile), d.path(caKey)
	if _, err := os.Stat(cert); err != nil {
		return nil, nil, err
	}
	pair, err := tls.LoadX509KeyPair(cert, key)
	own, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	if err != nil || !ok {
		return nil, nil, &fleet.Error{Kind: fleet.Invalid, Where: CAFile,
			Msg: "the house's certificate and its key do not belong together", Err: err,
			Hint: message.Of("remove %s and %s in the folder %s and make them anew", CAFile, caKey, Folder)}
	}
	return pair.Leaf, own, nil
}

func (d *Door) path(name string) string { return filepath.Join(d.dir, name) }

// ServerFiles returns the files of the certificate that was made for the server and of
// its key, or "" where there is none.
func (d *Door) ServerFiles() (cert, key string) {
	if _, err := os.Stat(d.path(CertFile)); errors.Is(err, fs.ErrNotExist) {
		return "", ""
	}
	return d.path(CertFile), d.path(KeyFile)
}

// CA returns what devices are to trust, PEM; where there is none the error is
// a *fleet.Error.
func (d *Door) CA() ([]byte, error) {
	src, err := os.ReadFile(d.path(CAFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &fleet.Error{Kind: fleet.NotFound, Msg: "this house has no certificate of its own",
			Hint: "how to make one: undertray certificate --help"}
	}
	return src, err
}
