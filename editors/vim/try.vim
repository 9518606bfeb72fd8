" Run by ../try in a Vim without a screen, with $WRONG open: writes what ALE was told and what :make listed, tries colours.
let s:wrong = []
let s:severity = {'E': 'error', 'W': 'warning', 'N': 'note', 'I': 'note'}

function! s:same(is, should, what) abort
    if a:is !=# a:should
        call add(s:wrong, printf('%s is %s, should be %s', a:what, a:is, a:should))
    endif
endfunction

function! s:group(text) abort
    call cursor(1, 1)
    let l:found = searchpos('\C' . substitute(a:text, ' ', '\\s\\+', 'g'), 'cW')
    return synIDattr(synID(l:found[0], l:found[1], 1), 'name')
endfunction

function! s:try() abort
    call s:same(&filetype, 'ferrule', 'the filetype')
    for [l:text, l:group] in [['string HOUSE', 'Keyword'], ['breaker {', 'Kind'], ['coldest', 'Property'], ['\.+ ->', 'Terminal'],
    \                         ['-> QA', 'Arrow'], ['red as', 'Value'], ['as A1', 'Joining'], ['"D"', 'Text'], ['2026-10-30', 'Date'],
    \                         ['70 degC', 'Number'], ['# The homestead', 'Comment']]
        call s:same(s:group(l:text), 'ferrule' . l:group, 'the colour of ' . l:text)
    endfor

    silent make!
    call writefile(map(filter(getqflist(), 'v:val.valid'), {_, q -> printf('%d:%d %s %s',
    \   q.lnum, q.col, s:severity[toupper(q.type)], matchstr(q.text, '\[\zs[a-z0-9.-]*\ze\]$'))}), $MADE)

    call ale#Queue(0)
    let l:patience = 200
    while l:patience > 0 && empty(ale#engine#GetLoclist(bufnr('')))
        sleep 50m
        let l:patience -= 1
    endwhile
    call writefile(map(copy(ale#engine#GetLoclist(bufnr(''))), {_, q -> printf('%d:%d %s %s',
    \   q.lnum, q.col, s:severity[q.type], get(q, 'code', ''))}), $SEEN)
endfunction

try
    call s:try()
catch
    call add(s:wrong, v:exception . ' at ' . v:throwpoint)
endtry
call writefile(s:wrong, $COMPLAINTS)
qall!
