package journal

import (
	"path/filepath"
	"strings"
)

// PlaceDoubt returns "" or one sentence on why the file's place is a poor one.
// The lock that keeps two programs apart is no promise on a disk that another
// computer serves, and a folder that a service copies around may be copied in
// the middle of a commit, or be replaced by another computer's older file.
func (s *Store) PlaceDoubt() string {
	path := s.Path
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	const rather = "; keep the journal on this computer's own disk and bring others' entries in with export and merge"
	if service := syncedFolder(path); service != "" {
		return "the journal lies in a folder that a service copies between computers (" + service + "), which can bring back an older file or half a commit" + rather
	}
	if servedDisk(filepath.Dir(path)) {
		return "the journal lies on a disk that another computer serves, where the lock between two programs may not hold" + rather
	}
	return ""
}

// syncedFolder returns the name of the folder of a well-known copying service
// that the path goes through.
func syncedFolder(path string) string {
	for _, part := range strings.FieldsFunc(path, func(r rune) bool { return r == '/' || r == '\\' }) {
		name := strings.ToLower(part)
		for _, service := range []string{"dropbox", "onedrive", "google drive", "googledrive", "nextcloud", "owncloud", "icloud", "mobile documents", "syncthing"} {
			if strings.HasPrefix(name, service) {
				return shown(part)
			}
		}
	}
	return ""
}
