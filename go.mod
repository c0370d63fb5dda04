module firnhand

go 1.26
