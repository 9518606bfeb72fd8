-- Run by ../try in a headless Neovim, with WRONG open: writes what it was shown, and tries hover, rename and formatting.
local function wait(what, until_true)
  assert(vim.wait(60000, until_true, 20), 'waited in vain for ' .. what)
end

local function at(text)  -- the cursor on the first place of a text in this buffer
  vim.fn.cursor(1, 1)
  assert(vim.fn.search('\\C' .. text:gsub(' ', '\\s\\+'), 'cW') > 0, 'no ' .. text)
end

local function group(text)
  at(text)
  return vim.fn.synIDattr(vim.fn.synID(vim.fn.line('.'), vim.fn.col('.'), 1), 'name')
end

local function try()
  assert(vim.bo.filetype == 'ferrule', 'filetype is ' .. vim.bo.filetype)
  wait('diagnostics', function() return #vim.diagnostic.get(0) > 0 end)
  local severity = { 'error', 'warning', 'note', 'note' }
  local seen = {}
  for _, d in ipairs(vim.diagnostic.get(0)) do
    local rule = d.code or d.user_data.lsp.code
    table.insert(seen, ('%d:%d %s %s'):format(d.lnum + 1, d.col + 1, severity[d.severity], rule))
  end
  vim.fn.writefile(seen, vim.env.SEEN)

  assert(group('string HOUSE') == 'ferruleKeyword', 'the colour of a keyword is ' .. group('string HOUSE'))

  at('HOUSE is 10')
  local answers = assert(vim.lsp.buf_request_sync(0, 'textDocument/hover', vim.lsp.util.make_position_params(0, 'utf-16'), 5000))
  local text = vim.inspect(answers)
  assert(text:find('436.7', 1, true), 'hover says ' .. text)

  at('SW-32 in A-BOX')
  vim.lsp.buf.rename('SWITCH-32')
  wait('the new name', function() return vim.fn.search('is\\s\\+SWITCH-32\\s\\+in', 'nw') > 0 end)
  wait('the new name in the other file', function()
    local file = vim.fn.bufnr('parts/switchgear.fer')
    return file > 0 and table.concat(vim.api.nvim_buf_get_lines(file, 0, -1, false), '\n'):find('part SWITCH-32 is', 1, true)
  end)

  local line = vim.fn.search('^device QA ')
  local before = vim.fn.getline(line)
  vim.fn.setline(line, '   ' .. before:gsub(' in ', '   in '))
  if vim.lsp.buf.format then vim.lsp.buf.format() else vim.lsp.buf.formatting_sync(nil, 5000) end
  assert(vim.fn.getline(line) == before, 'formatting makes it ' .. vim.fn.getline(line))

  -- A mistake made is shown, and one mended is shown no more.
  vim.fn.append(line, 'device QA is SWITCH-32 in A-BOX')
  wait('a new mistake', function() return #vim.diagnostic.get(0) ~= #seen end)
  vim.fn.deletebufline('%', line + 1)
  wait('the mistake to go', function() return #vim.diagnostic.get(0) == #seen end)
  vim.cmd('silent wall')

  vim.cmd('edit ' .. vim.env.MARKS)
  wait('a finding behind letters of several bytes', function() return #vim.diagnostic.get(0) > 0 end)
  local d = vim.diagnostic.get(0)[1]
  local marked = vim.fn.getline(d.lnum + 1):sub(d.col + 1, d.end_col)
  assert(marked == 'coldst', 'marked is ' .. marked)
end

local ok, why = pcall(try)
if not ok then
  io.stderr:write(tostring(why) .. '\n')
  vim.cmd('cquit 1')
end
vim.cmd('qall!')
