autocmd BufNewFile,BufRead *.fer setfiletype ferrule
