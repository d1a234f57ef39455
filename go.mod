module amphora

go 1.26
