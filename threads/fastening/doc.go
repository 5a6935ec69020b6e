package fastening
